"""What one line of a policy may say, and the fields that it takes.

A rule is a trigger, a scope and an action, and numbers that belong to one of the three.
What the simulator cannot do is refused, with what it can.
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from types import MappingProxyType

from kennelward.terms import BadInput, check_range

PRODUCTS = ("soap", "bleach", "peroxide", "quat", "steam")
CLOSES = ("arrivals", "visits", "matings", "sales")
ORDERS_OF_ROUND = ("young-first", "sick-last", "reversed")
TRIGGERS = ("always", "arrival", "visit", "calendar", "signs", "positive", "cases")
OCCASIONS = ("arrival", "visit", "signs", "positive", "cases")  # about one dog
SCOPES = ("dog", "pen", "yard-group", "litter", "all", "traced", "staff")
ACTIONS = (
    "test", "quarantine", "isolate", "vaccinate", "treat", "clean", "close", "hold",
    "change-shoes", "order-round", "refuse",
)  # fmt: skip
OLD_WORDS = MappingProxyType({"case": "cases"})  # still read

# name -> (low, high, unit, says); 0 or empty: not said
FIELD_RANGES: Mapping[str, tuple[float, float, str, str]] = MappingProxyType(
    {
        "days": (0, 3650, "days", "How many days it lasts"),
        "after_days": (0, 365, "days", "How many days later"),
        "every_days": (0, 365, "days", "Days from one round to the next"),
        "clear_rounds": (0, 20, "rounds", "Rounds without a positive until it ends"),
        "cases": (0, 1000, "dogs", "From how many known cases"),
        "within_days": (0, 3650, "days", "Known within how many days"),
        "top": (0, 200, "dogs", "How many of the likeliest to have met it"),
        "at_least": (0, 1, "chance", "From which chance to have met it"),
        "capacity": (0, 1000, "dogs", "Dogs at once, or tests a day; 0: no limit said"),
        "extend_days": (0, 365, "days", "Days that all there stay after a case there"),
        "clears": (0, 1, "chance", "Chance that it clears, as your vet expects"),
        "clears_after": (0, 365, "days", "Days until it has, as your vet expects"),
    }
)
BY_ACTION: Mapping[str, tuple[str, ...]] = {
    "test": ("capacity",),
    "quarantine": ("days", "extend_days"),
    "isolate": ("days", "capacity"),
    "vaccinate": (),
    "treat": ("clears", "clears_after"),
    "clean": ("product", "washed"),
    "close": ("days", "what"),
    "hold": ("days",),
    "change-shoes": ("days",),
    "order-round": ("order",),
    "refuse": (),
}


def _allowed() -> dict[tuple[str, str, str], tuple[str, ...]]:
    """The whole table: what may be said, and the fields that it takes."""
    found: dict[tuple[str, str, str], tuple[str, ...]] = {
        ("always", "all", "clean"): ("product", "washed"),
        ("always", "staff", "change-shoes"): (),
        ("always", "staff", "order-round"): ("order",),
        ("always", "all", "close"): ("what",),
        ("arrival", "all", "refuse"): (),
        ("visit", "all", "refuse"): (),
        ("arrival", "dog", "quarantine"): ("days", "extend_days"),
        ("visit", "dog", "quarantine"): ("days", "extend_days"),
    }
    for trigger in ("arrival", "visit"):
        found[trigger, "dog", "test"] = ("after_days", "before", "capacity")
        for action in ("vaccinate", "treat"):
            found[trigger, "dog", action] = ("after_days", *BY_ACTION[action])
    for scope in ("all", "litter"):
        for action in ("test", "vaccinate", "treat"):
            when = ("after_days", "every_days")
            found["calendar", scope, action] = (*when, *BY_ACTION[action])
    for trigger in ("signs", "positive", "cases"):
        more: tuple[str, ...] = ("cases", "within_days") if trigger == "cases" else ()
        for scope in ("dog", "pen", "yard-group", "litter", "all", "traced"):
            found.update(_reactions(trigger, scope, more))
        for action in ("close", "hold"):
            found[trigger, "all", action] = ("after_days", *more, *BY_ACTION[action])
        later = ("after_days", "days", *more)
        found[trigger, "all", "clean"] = ("product", *later)
        found[trigger, "pen", "clean"] = ("product", "after_days", *more)
        found[trigger, "staff", "change-shoes"] = later
    return found


def _reactions(
    trigger: str, scope: str, more: tuple[str, ...]
) -> dict[tuple[str, str, str], tuple[str, ...]]:
    """What is done to dogs after signs, a positive or some cases."""
    chosen = ("top", "at_least") if scope == "traced" else ()
    found = {}
    for action in ("test", "isolate", "vaccinate", "treat"):
        rounds = ("every_days", "clear_rounds") if action == "test" else ()
        found[trigger, scope, action] = (
            "after_days",
            *more,
            *chosen,
            *rounds,
            *BY_ACTION[action],
        )
    return found


ALLOWED: Mapping[tuple[str, str, str], tuple[str, ...]] = MappingProxyType(_allowed())

# Which price an action costs, where a rule names none
USUAL_PRICE: Mapping[str, str] = MappingProxyType(
    {
        "test": "test",
        "quarantine": "apart_day",
        "isolate": "apart_day",
        "vaccinate": "vaccination",
        "treat": "treatment",
        "clean": "cleaning",
        "close": "closed_day",
    }
)
PRICE_NAMES: Mapping[str, str] = MappingProxyType(
    {
        "test": "each test",
        "lab_test": "each laboratory test",
        "apart_day": "a day apart, each dog",
        "sick_day": "a day ill, each dog",
        "litter": "a litter hit",
        "closed_day": "a day closed",
        "refused": "each dog that could not come",
        "vaccination": "each vaccination",
        "treatment": "each treatment by the vet's plan",
        "cleaning": "each extra cleaning",
    }
)


def fields_of(trigger: str, scope: str, action: str) -> tuple[str, ...]:
    """The fields that a rule takes beside trigger, scope, action and price.

    Raises BadInput for what the simulator cannot do, with what it can.
    """
    what = (trigger, scope, action)
    if what not in ALLOWED:
        known = "; ".join(" ".join(parts) for parts in ALLOWED)
        raise BadInput(
            f"no policy can say {' '.join(what)!r}. Trigger, scope and action may "
            f"be: {known}"
        )
    return ALLOWED[what]


@dataclass(frozen=True, slots=True, kw_only=True)
class PolicyRule:
    """When something happens, do something to someone."""

    trigger: str
    scope: str
    action: str
    days: float = 0.0  # how long; 0: to the end, or until rounds come clear
    after_days: float = 0.0  # how much later
    every_days: float = 0.0  # from one round to the next
    clear_rounds: int = 0  # rounds without a positive, after which it ends
    cases: int = 0  # 0: the first
    within_days: float = 0.0  # 0: ever
    top: int = 0
    at_least: float = 0.0
    capacity: int = 0  # dogs at once, or tests a day; 0: the kennel's own room
    extend_days: float = 0.0
    clears: float = 0.0
    clears_after: float = 0.0
    what: tuple[str, ...] = ()  # closed; empty: arrivals and visits
    product: str = ""
    washed: bool = True  # before the product
    order: str = ""
    before: bool = False  # a test before it comes; a positive stays away
    price: str = ""  # name of the user's price that each one costs

    def __post_init__(self) -> None:
        object.__setattr__(self, "trigger", OLD_WORDS.get(self.trigger, self.trigger))
        taken = fields_of(self.trigger, self.scope, self.action)
        for name, (low, high, unit, _) in FIELD_RANGES.items():
            check_range(
                name.replace("_", " "),
                getattr(self, name),
                low=low,
                high=high,
                unit=unit,
            )
        never = ("trigger", "scope", "action", "price")
        for one in fields(self):
            if one.name in taken or one.name in never:
                continue
            if getattr(self, one.name) != one.default:
                takes = ", ".join(taken) or "nothing more"
                raise BadInput(
                    f"{self.trigger} {self.scope} {self.action!r} takes no {one.name}; "
                    f"it takes {takes}"
                )
        self._check_words(taken)

    def _check_words(self, taken: tuple[str, ...]) -> None:
        choices = (
            ("product", PRODUCTS, self.product),
            ("order", ORDERS_OF_ROUND, self.order),
        )
        for name, allowed, given in choices:
            if name in taken and given not in allowed:
                raise BadInput(
                    f"{name} must be one of {', '.join(allowed)}; got {given!r}"
                )
        unknown = [word for word in self.what if word not in CLOSES]
        if unknown:
            raise BadInput(
                f"what is closed must be of {', '.join(CLOSES)}; got {unknown[0]!r}"
            )
        if self.price and self.price not in PRICE_NAMES:
            raise BadInput(
                f"price must be one of {', '.join(PRICE_NAMES)}; got {self.price!r}"
            )
        if self.action == "quarantine" and not 1 <= self.days <= 365:
            raise BadInput("a quarantine lasts 1 day or more, and at most 365 days")
        if self.scope == "traced" and not (self.top or self.at_least):
            raise BadInput("a traced set needs top (dogs) or at_least (a chance)")
        if self.clear_rounds and self.action == "test" and not self.every_days:
            raise BadInput("rounds until clear need every_days")

    @property
    def price_key(self) -> str:
        """The price that each one costs, or nothing."""
        return self.price or USUAL_PRICE.get(self.action, "")
