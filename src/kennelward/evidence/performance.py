"""What a test can do, and in which situation: kit or method, dog, days since an event.

A figure from a paper holds for the dogs and the day it was measured on. Each
`TestPerformance` says for which, and `choose_performance` picks the first that fits.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType

from kennelward.evidence.accuracy import BetaChance
from kennelward.terms import BadInput, check_range, check_text

# Events that days are counted from. A handbook may use these only.
EVENTS = (
    "arrival",
    "course-end",  # end of a course that a vet wrote
    "exposure",  # last possible exposure
    "illness",  # first day of signs; day 1 is the day itself
    "lh",  # luteinising hormone surge
    "live-vaccine",
    "mating",  # last mating or insemination
    "ovulation",
    "pregnancy-loss",
    "whelping",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DaysSince:
    """Days since `event`, from `first` to `last`, both included."""

    event: str
    first: int
    last: int

    def __post_init__(self) -> None:
        if self.event not in EVENTS:
            raise BadInput(f"event must be one of {', '.join(EVENTS)}: {self.event!r}")
        if self.last < self.first:
            raise BadInput(
                f"days since {self.event}: last must be {self.first} or more, "
                f"got {self.last}"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Situation:
    """The dogs and days that a figure holds for. What is not named does not matter."""

    says: str = "any dog"
    is_sick: bool | None = None
    is_vaccinated: bool | None = None
    days: tuple[DaysSince, ...] = ()  # all must hold; an unknown day does not hold

    def fits(self, case: "Circumstances") -> bool:
        """True where the figure holds for this dog today."""
        if self.is_sick is not None and self.is_sick != case.is_sick:
            return False
        if self.is_vaccinated is not None and self.is_vaccinated != case.is_vaccinated:
            return False
        return all(
            window.first <= case.days_since[window.event] <= window.last
            if window.event in case.days_since
            else False
            for window in self.days
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Circumstances:
    """What is known of one dog on the day of its sample."""

    is_sick: bool | None = None
    is_vaccinated: bool | None = None
    days_since: Mapping[str, int] = field(default_factory=dict)  # event -> days

    def __post_init__(self) -> None:
        for event, days in self.days_since.items():
            if event not in EVENTS:
                raise BadInput(f"event must be one of {', '.join(EVENTS)}: {event!r}")
            check_range(f"days since {event}", days, low=0, unit="days")
        frozen = MappingProxyType(dict(self.days_since))
        object.__setattr__(self, "days_since", frozen)


@dataclass(frozen=True, slots=True, kw_only=True)
class TestPerformance:
    """How often one test is right, in one situation.

    Tests that `sees` the same thing (antigen in faeces, antibody in blood) are not
    independent; a repeat of the same `test` on one dog is less so still.
    """

    __test__ = False  # not a test case of pytest

    test: str  # kit or method id: "giardia-antigen", "flotation"
    sees: str  # what it finds: "giardia in faeces", "brucella antibody"
    sensitivity: BetaChance
    specificity: BetaChance
    situation: Situation = Situation()

    def __post_init__(self) -> None:
        check_text("test", self.test)
        check_text("sees", self.sees)
        if self.sensitivity.mean + self.specificity.mean < 1:
            raise BadInput(
                f"{self.test}: sensitivity {self.sensitivity.mean:g} and specificity "
                f"{self.specificity.mean:g} add up to less than 1, so a positive would "
                "lower the chance; check which is which"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class ReaderError:
    """How often whoever reads the strip is wrong about a line; both 0 to 1.

    Published sensitivity and specificity already hold the errors of trained eyes;
    this is what comes on top.
    """

    line_missed: float = 0.0  # a line is there and is read as none
    line_imagined: float = 0.0  # no line is there and one is read

    def __post_init__(self) -> None:
        check_range("line_missed", self.line_missed, low=0, high=0.5)
        check_range("line_imagined", self.line_imagined, low=0, high=0.5)


TRAINED_EYES = ReaderError()


def choose_performance(
    performances: Sequence[TestPerformance], *, case: Circumstances
) -> TestPerformance:
    """The first of `performances` whose situation fits the dog.

    The order is the handbook's: the most special situation first. Raises BadInput
    where none fits; a list that ends with a figure for any dog always fits.
    """
    for performance in performances:
        if performance.situation.fits(case):
            return performance
    tried = "; ".join(p.situation.says for p in performances) or "none given"
    raise BadInput(f"no test figures fit this dog's situation; tried: {tried}")
