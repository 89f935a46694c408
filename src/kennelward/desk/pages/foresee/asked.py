"""What the page asked, from plain values to the round's own, and back."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from kennelward.rounds import AheadSettings, Asked
from kennelward.rounds.policy_changes import Change
from kennelward.spread.compare import Amount
from kennelward.spread.policies import PolicyRule, PolicyText, Prices
from kennelward.terms import BadInput

USUAL_DAYS = {"brucella": 540}  # slow: a year and a half shows something
HALF_YEAR = 180
OWN = "own"  # id of the policy that the user made


def asked_of(plain: Mapping[str, Any]) -> Asked:
    """The question. Raises BadInput for values that cannot be."""
    infection = str(plain["infection"])
    own = own_policy(plain)
    now = tuple(str(name) for name in plain.get("now", ()))
    try:
        settings = AheadSettings(
            days=int(plain.get("days") or USUAL_DAYS.get(infection, HALF_YEAR)),
            arrivals_a_year=plain.get("arrivals_a_year"),
            visits_a_year=plain.get("visits_a_year"),
            floor=str(plain.get("floor") or "floor"),
            product=str(plain.get("product") or ""),
            clean_every_days=plain.get("clean_every_days"),
            isolation_room=plain.get("isolation_room"),
            shares_yards=bool(plain.get("shares_yards", True)),
            everyone_may_carry=bool(plain.get("everyone_may_carry", False)),
        )
        prices = {
            name: float(value)
            for name, value in (plain.get("prices") or {}).items()
            if value is not None
        }
    except (TypeError, KeyError) as error:
        raise BadInput("the question is damaged; ask again from the page") from error
    return Asked(
        infection=infection,
        test=str(plain.get("test") or ""),
        settings=settings,
        prices=Prices(**prices) if prices else None,
        now=now,
        own=(own,) if own is not None else (),
        changes=tuple(
            Change(policy=policy, rule=int(rule), field=field, value=float(value))
            for policy, rule, field, value in plain.get("changes", ())
        ),
        by=str(plain.get("by") or "sick_days"),
        is_search=bool(plain.get("is_search", False)),
        seed=int(plain.get("seed") or 1),
        amount=Amount(
            worlds=int(plain.get("worlds") or 40), runs=int(plain.get("runs") or 100)
        ),
    )


def initial_of(plain: Mapping[str, Any], *, kinds: Sequence[str]) -> dict[str, Any]:
    """A question of before as a form's beginnings, so that it can be asked anew."""
    names = (
        "own_days", "test", "by", "is_search", "days", "arrivals_a_year",
        "visits_a_year", "isolation_room", "clean_every_days", "product", "floor",
        "shares_yards", "everyone_may_carry",
    )  # fmt: skip
    found = {name: plain[name] for name in names if plain.get(name) is not None}
    found |= {
        f"own_test_{n}": day
        for n, day in enumerate(plain.get("own_tests", ()), start=1)
    }
    found |= {
        f"now_{kind}": name
        for kind, name in zip(kinds, plain.get("now", ()), strict=False)
    }
    found |= {
        f"price_{name}": Decimal(round(cents)) / 100
        for name, cents in (plain.get("prices") or {}).items()
    }
    found |= {
        f"change|{policy}|{rule}|{field}": value
        for policy, rule, field, value in plain.get("changes", ())
    }
    return found


def own_policy(plain: Mapping[str, Any]) -> PolicyText | None:
    """The user's own rule for new dogs: days apart, and up to two test days."""
    days = plain.get("own_days")
    if days is None:
        return None
    rules = []
    if days:
        rules.append(
            PolicyRule(
                trigger="arrival", scope="dog", action="quarantine", days=float(days)
            )
        )
    tests = [float(day) for day in plain.get("own_tests", ()) if day is not None]
    rules += [
        PolicyRule(
            trigger="arrival", scope="dog", action="test", after_days=day, price="test"
        )
        for day in tests
    ]
    said = (
        f"New dogs stay apart for {days:g} days" if days else "New dogs go straight in"
    )
    if tests:
        named = " and ".join(f"{day:g}" for day in tests)
        said += f", tested on day {named} (your own)"
    else:
        said += " (your own)"
    return PolicyText(
        id=OWN, kind="arrivals", says=said, rules=tuple(rules), is_own=True
    )
