"""What many runs say, in the words a breeder would use; never more than they say."""

from kennelward.spread.compare import Comparison, PlanResult
from kennelward.spread.measures import OUTBREAK_CASES, Figure
from kennelward.spread.policies import PRICE_NAMES, Prices
from kennelward.terms import Phrase

NAMED = 3  # plans that are alike; more are only counted
HALF_YEAR = range(170, 195)
BY_WORDS = {
    "sick_days": "dog-days ill",
    "outbreak": "the chance of an outbreak",
    "cases": "further cases",
    "cost": "cost",
}


def said_of(
    found: Comparison, *, days: int, kills: bool, is_chronic: bool, prices: Prices
) -> tuple[Phrase, ...]:
    """The sentences above the figures: first what to choose, then what may come."""
    says = [*_best(found), *_least_regret(found, prices), *_priced(prices)]
    says += [_chance(found, days=days), _sick(found.now)]
    if kills:
        says.append(_deaths(found.now))
    if found.now.figures["litters"].high > 0:
        says.append(_litters(found.now))
    if is_chronic:
        says.append(
            Phrase(
                "What stays in a pen is not counted: nobody has measured it. Treat the "
                "whelping place of a suspect as contaminated until it is disinfected."
            )
        )
    if found.by == "cost" and not prices.is_said:
        says.append(Phrase("No price was given, so the order by cost says nothing."))
    says.append(
        Phrase(
            "These are made-up runs of kennels like yours, not a forecast for a dog. "
            "Your vet knows what no book holds."
        )
    )
    return tuple(says)


def times(days: int) -> str:
    """What one run is called: `half-years`, or `spans of 90 days`."""
    return "half-years" if days in HALF_YEAR else f"spans of {days} days"


def in_thousand(chance: float) -> str:
    """A chance as a count of 1000, rounded to what it is worth."""
    count = 1000 * chance
    if count < 1:
        return "0" if count == 0 else "1"
    return str(round(count / 10) * 10 if count >= 20 else round(count))


def _chance(found: Comparison, *, days: int) -> Phrase:
    figure = found.now.figures["outbreak"]
    values: dict[str, str | int | float] = {
        "spans": times(days),
        "runs": found.runs,
        "n": in_thousand(figure.mean),
        "cases": OUTBREAK_CASES,
        "low": in_thousand(figure.low),
        "high": in_thousand(figure.high),
    }
    if figure.mean == 0:
        return Phrase(
            "In none of {runs} simulated {spans} like yours, with what you do now, was "
            "there an outbreak ({cases} or more further cases). It could still be up to "
            "{high} in 1000.",
            values,
        )
    return Phrase(
        "In 1000 simulated {spans} like yours, with what you do now, about {n} had an "
        "outbreak ({cases} or more further cases). With what we do not know about how "
        "it spreads, that could be {low} to {high}.",
        values,
    )


def _sick(now: PlanResult) -> Phrase:
    ill, cases = now.figures["sick_days"], now.cases
    values: dict[str, str | int | float] = {
        "ill": amount(ill.mean),
        "low": amount(ill.low),
        "high": amount(ill.high),
        "median": round(cases.median),
        "most": round(cases.high),
    }
    if cases.high == 0:
        return Phrase(
            "Dogs were ill for {ill} dog-days on average, those that carry it today "
            "counted in (what we do not know: {low} to {high}). In at least 9 of 10 "
            "runs there were no further cases.",
            values,
        )
    return Phrase(
        "Dogs were ill for {ill} dog-days on average, those that carry it today counted "
        "in (what we do not know: {low} to {high}). Half of the runs had {median} "
        "or fewer further cases; one in ten had {most} or more.",
        values,
    )


def _deaths(now: PlanResult) -> Phrase:
    dead = now.figures["deaths"]
    return Phrase(
        "On average {n} dogs died of it (what we do not know: {low} to {high}), with a "
        "vet's treatment.",
        {"n": amount(dead.mean), "low": amount(dead.low), "high": amount(dead.high)},
    )


def _litters(now: PlanResult) -> Phrase:
    hit = now.figures["litters"]
    return Phrase(
        "On average {n} litters were hit (what we do not know: {low} to {high}).",
        {"n": amount(hit.mean), "low": amount(hit.low), "high": amount(hit.high)},
    )


def amount(value: float) -> str:
    """A number with no more digits than it is worth: `0`, `0.03`, `0.4`, `7`, `120`."""
    size = abs(value)
    if size >= 10:
        return f"{value:.0f}"
    if size >= 1:
        return f"{value:.1f}".removesuffix(".0")
    if size >= 0.05:
        return f"{value:.1f}"
    return f"{value:.2f}" if size >= 0.005 else "0"


def _best(found: Comparison) -> list[Phrase]:
    """Which plan came out best, and whether that can be told at all."""
    if not found.others:
        return []
    if len(found.alike) > 1:
        return [_alike(found)]
    best = next(one for one in found.all if one.plan.id == found.alike[0])
    if best is found.now:
        return [
            Phrase(
                "Of {n} plans tried, what you do now came out best, by {by}.",
                {"n": found.tried, "by": BY_WORDS[found.by]},
            )
        ]
    better, worse = best.better[found.by], best.worse[found.by]
    says = [
        Phrase(
            "Of {n} plans tried, this one came out best by {by}: {plan}. It beat what you "
            "do now in {better} of 10 plausible worlds and did worse in {worse}.",
            {
                "n": found.tried,
                "plan": "; ".join(best.plan.says) or best.plan.id,
                "by": BY_WORDS[found.by],
                "better": round(10 * better),
                "worse": round(10 * worse),
            },
        )
    ]
    says += _beside_cost(best)
    return says


def _alike(found: Comparison) -> Phrase:
    """The plans among which nobody can choose by these figures; by name where few."""
    if not _named(found):
        return Phrase(
            "{n} plans cannot be told apart with what is known. Choose among them "
            "by convenience, or with your vet.",
            {"n": len(found.alike)},
        )
    named = [
        "what you do now"
        if one is found.now
        else ", ".join(one.plan.says) or one.plan.id
        for one in _named(found)
    ]
    return Phrase(
        "{n} plans cannot be told apart with what is known: {plans}. Choose among them "
        "by convenience, or with your vet.",
        {
            "n": len(found.alike),
            "plans": "; ".join(f"({n}) {does}" for n, does in enumerate(named, 1)),
        },
    )


def _named(found: Comparison) -> list[PlanResult]:
    """The alike plans, as they are numbered; none where they are only counted."""
    alike = [one for one in found.all if one.plan.id in found.alike]
    return alike if 1 < len(alike) <= NAMED else []


def _priced(prices: Prices) -> list[Phrase]:
    """A cost of nothing may only mean that nobody gave a price."""
    priced = [words for name, words in PRICE_NAMES.items() if getattr(prices, name)]
    if not priced or len(priced) == len(PRICE_NAMES):
        return []
    return [
        Phrase(
            "Cost counts only what has a price here: {priced}. Whatever else a plan asks "
            "for counts as nothing.",
            {"priced": ", ".join(priced)},
        )
    ]


def _least_regret(found: Comparison, prices: Prices) -> list[Phrase]:
    """For whoever would rather not bet on one world."""
    kept = [one for one in found.all if one.plan.id == found.least_regret]
    if not found.others or not kept:
        return []
    (one,) = kept
    by = BY_WORDS[found.by]
    if prices.is_said and found.by != "cost":
        by = f"{BY_WORDS['cost']}, and at the same cost by {by}"
    values = {"by": by, "plan": "; ".join(one.plan.says) or one.plan.id}
    if one is not found.now and one in (named := _named(found)):
        values["plan"] = f"({named.index(one) + 1})"  # it was named just before
    if one is not found.now and found.alike == (one.plan.id,):
        return [
            Phrase(
                "It is also the one least to be regretted whatever turns out to be true, "
                "by {by}: in its worst world it falls least far behind the best plan "
                "there.",
                values,
            )
        ]
    if one is found.now:
        return [
            Phrase(
                "Least to be regretted whatever turns out to be true, by {by}: what you "
                "do now. In its worst world it falls least far behind the best plan "
                "there.",
                values,
            )
        ]
    return [
        Phrase(
            "Least to be regretted whatever turns out to be true, by {by}: {plan}. In its "
            "worst world it falls least far behind the best plan there.",
            values,
        )
    ]


def _beside_cost(best: PlanResult) -> list[Phrase]:
    """Suffering stands beside cost: say so where a plan makes it worse."""
    worse = [
        name
        for name in ("sick_days", "deaths", "litters")
        if best.difference[name].mean > 0 and best.difference[name].is_beyond_luck
    ]
    if not worse:
        return []
    names = {"sick_days": "dog-days ill", "deaths": "deaths", "litters": "litters hit"}
    return [
        Phrase(
            "It comes with more of these: {what}. Weigh that before the cost.",
            {"what": ", ".join(names[name] for name in worse)},
        )
    ]


def difference_words(figure: Figure, *, is_chance: bool = False) -> Phrase:
    """A paired difference to what is done now: `-3.2 +- 0.4 (worlds: -6 to -0.5)`."""
    scale = 100 if is_chance else 1
    if figure.mean == 0 and figure.error == 0:
        return Phrase("no different")
    return Phrase(
        "{sign}{n}, error {error}, worlds {low} to {high}",
        {
            "sign": "+" if figure.mean > 0 else "",
            "n": amount(scale * figure.mean),
            "error": amount(scale * figure.error),
            "low": amount(scale * figure.low),
            "high": amount(scale * figure.high),
        },
    )
