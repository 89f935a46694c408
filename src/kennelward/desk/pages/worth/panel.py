"""How one dog's chance came about and what comes next, as its pages show it."""

from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from kennelward.desk.pages.shell.here import Here
from kennelward.desk.pages.shell.labels import CALLS, KITS, METHODS, label
from kennelward.desk.pages.shell.templatetags.shell import day as day_words
from kennelward.desk.pages.shell.templatetags.shell import money, words
from kennelward.evidence import (
    ACT,
    CARRY_ON,
    KEEP_APART,
    NO_TEST,
    NextStep,
    TestPerformance,
    in_hundred,
)
from kennelward.kennel import Book
from kennelward.kennel import facts as f
from kennelward.programme import DueItem
from kennelward.rounds import (
    CaseResult,
    DogInterpretation,
    NextStepAdvice,
    StoryStep,
    chance_story,
    next_step,
    set_aside,
    with_own_figures,
)

ASKS = ("test", "repeat-test", "vet-sample", "lab-test", "cyst-test", "scan")
TESTS_SHOWN = 3
SCALE = 100  # width of the scale's picture


@dataclass(frozen=True, slots=True, kw_only=True)
class StoryLine:
    """One step of the story, with its bar."""

    kind: str
    says: str
    why_not: str
    number: str  # in 100
    width: str  # of the bar, 0 to 100
    change: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureLine:
    """What one test can do in such a dog; `is_own`: the leaflet's."""

    test: str
    situation: str
    finds: str
    finds_between: str
    clears: str
    clears_between: str
    source: str
    is_own: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """A stretch of the scale and the step that costs least there."""

    step: str
    says: str
    x: str  # on a scale of 100
    width: str
    between: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TestLine:
    """One test that could be next."""

    __test__ = False

    name: str
    price: str
    is_assumed: bool
    pays: bool
    worth: str
    if_positive: str
    if_negative: str
    then_positive: str
    then_negative: str
    is_same: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """The panel of the next step."""

    today: str  # empty where the sums ask for nothing more
    short: str  # the same for a heading
    floor: str
    is_other_only: bool  # apart for another infection, and not for this one
    asked: tuple[str, ...]
    tests: tuple[TestLine, ...]  # the most worthwhile, in order
    more_tests: tuple[TestLine, ...]  # folded away
    not_now: tuple[tuple[str, str], ...]
    zones: tuple[Zone, ...]
    at: str  # where the dog stands on the scale of 100
    at_says: str  # "about 6 in 100"
    middle: str  # the middle of its chance where that is another number, or empty
    is_assumed: bool
    is_money: bool
    infection: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel:
    """Everything below the chance itself."""

    story: tuple[StoryLine, ...]
    figures: tuple[FigureLine, ...]
    by_handbook: str  # the chance by the handbook's figures, where a leaflet took part
    advice: Advice | None


def panel(place: Here, found: DogInterpretation) -> Panel:
    """Story, figures and next step of one dog's interpretation."""
    own = with_own_figures(book=place.book, handbook=place.handbook)
    advice = next_step(
        book=place.book,
        handbook=place.handbook,
        found=found,
        on=place.on,
        actions=[item.action for item in place.plan.due.items if item.is_open],
    )
    told = [_story_line(step) for step in chance_story(handbook=own, found=found)]
    return Panel(
        story=(*_aside_lines(place, found), *told),
        figures=tuple(_figures(place, found)),
        by_handbook=words(found.by_handbook.in_words) if found.by_handbook else "",
        advice=_advice(place, found, advice) if advice is not None else None,
    )


def _aside_lines(place: Here, found: DogInterpretation) -> list[StoryLine]:
    """Results that say nothing of now, each with the reason."""
    aside = set_aside(
        book=place.book,
        handbook=place.handbook,
        dog=found.dog,
        infection=found.infection,
        on=place.on,
        used=frozenset(result.entry for result in found.results),
    )
    return [
        StoryLine(
            kind="aside",
            says=result_words(one.result),
            why_not=words(one.why),
            number="",
            width="0",
            change="same",
        )
        for one in aside
    ]


def on_scale(chance: float) -> str:
    """A chance as a place on the picture's scale, whatever the language."""
    return f"{SCALE * chance:.2f}"


def _story_line(step: StoryStep) -> StoryLine:
    says = words(step.says) if step.says is not None else result_words(step.result)
    return StoryLine(
        kind=step.kind,
        says=says,
        why_not=words(step.why_not) if step.why_not is not None else "",
        number=in_hundred(step.chance),
        width=on_scale(step.chance),
        change=step.change,
    )


def result_words(result: CaseResult | None) -> str:
    """A result in one line: what, what it said, of which day."""
    if result is None:
        return ""
    said = f"{test_name(result.test, result.days_sampled)}: {label(result.call, CALLS)}"
    return f"{said}, {day_words(result.on)}" if result.on is not None else said


def test_name(test: str, days: int = 1) -> str:
    """A kit or a method, with the days of its samples."""
    name = label(test, {**METHODS, **KITS})
    if days <= 1:
        return name
    return ngettext(
        "%(name)s, stool of %(n)s day", "%(name)s, stools of %(n)s days", days
    ) % {"name": name, "n": days}


test_name.__test__ = False  # type: ignore[attr-defined]


def _figures(place: Here, found: DogInterpretation) -> list[FigureLine]:
    """The figures of each test that counted; the handbook's below a leaflet's."""
    lines: list[FigureLine] = []
    seen: set[tuple[str, int, str]] = set()
    for result, one in zip(found.results, found.seen, strict=True):
        used = one.performance
        key = (used.test, result.days_sampled, used.situation.says)
        if not one.counts or key in seen:
            continue
        seen.add(key)
        ours = _handbooks(place, used)
        if ours is not None and ours != used:
            lines.append(figure_line(used, days=result.days_sampled, is_own=True))
            used = ours
        lines.append(figure_line(used, days=result.days_sampled, is_own=False))
    return lines


def _handbooks(place: Here, used: TestPerformance) -> TestPerformance | None:
    kit = place.handbook.kits.get(used.test)
    if kit is None:
        return None
    return next((p for p in kit.performances if p.situation == used.situation), None)


def figure_line(
    performance: TestPerformance, *, days: int = 1, is_own: bool
) -> FigureLine:
    """One pair of figures in words of 100 dogs."""
    finds, clears = (
        performance.sensitivity.interval(),
        performance.specificity.interval(),
    )
    source = performance.sensitivity.source
    if is_own:
        source = _own_source(source)
    return FigureLine(
        test=test_name(performance.test, days),
        situation=_(performance.situation.says),
        finds=in_hundred(performance.sensitivity.mean),
        finds_between=f"{in_hundred(finds.low)}–{in_hundred(finds.high)}",
        clears=in_hundred(performance.specificity.mean),
        clears_between=f"{in_hundred(clears.low)}–{in_hundred(clears.high)}",
        source=source,
        is_own=is_own,
    )


def _own_source(source: str) -> str:
    said_by, comma, method = source.partition(", against ")
    name = _("our vet") if said_by == "vet" else _("the leaflet in the box")
    return _("%(who)s, compared with %(method)s") % {
        "who": name,
        "method": method,
    } if comma else name  # fmt: skip


def step_words(step: str) -> str:
    """One of evidence.STEPS."""
    return {
        CARRY_ON: _("nothing more on its account; what is due stands"),
        KEEP_APART: _("keep apart"),
        ACT: _("keep apart and ask the vet"),
    }[step]


def _advice(place: Here, found: DogInterpretation, advice: NextStepAdvice) -> Advice:
    tests = [_test_line(one, advice) for one in advice.ranked if one.test != NO_TEST]
    middle, mean = (in_hundred(c) for c in (found.worth.chance.median, advice.chance))
    return Advice(
        today=step_words(advice.step) if advice.step != CARRY_ON else "",
        short=step_words(advice.step),
        floor=words(advice.floor.because) if advice.floor.because is not None else "",
        is_other_only=advice.floor.is_of_another
        and not found.case.signs
        and advice.chance < advice.thresholds.keep_apart_from,
        asked=tuple(_asked(place, found)),
        tests=tuple(tests[:TESTS_SHOWN]),
        more_tests=tuple(tests[TESTS_SHOWN:]),
        not_now=tuple(
            (test_name(one.test), words(one.because)) for one in advice.not_now
        ),
        zones=tuple(_zones(advice)),
        at=on_scale(advice.chance),
        at_says=about(advice.chance),
        middle=middle if middle != mean else "",
        is_assumed=advice.harms_are_assumed,
        is_money=advice.prices.is_money,
        infection=found.infection,
    )


def about(chance: float) -> str:
    """`about 6 in 100`, and "less than 0.1 in 100" without the "about"."""
    n = in_hundred(chance)
    if n[0].isdigit():
        return _("about %(n)s in 100") % {"n": n}
    return _("%(n)s in 100") % {"n": n}


def _asked(place: Here, found: DogInterpretation) -> list[str]:
    """Tests that rules in force ask for, whatever they are worth."""
    said = []
    for item in place.plan.due.about(found.dog):
        is_open = item.state not in ("done", "declined")
        if item.action.what in ASKS and is_open and _is_about(item, found, place):
            first = max(item.shows_on, place.on)
            said.append(f"{words(item.action.says)} ({day_words(first)})")
    return list(dict.fromkeys(said))


def _is_about(item: DueItem, found: DogInterpretation, place: Here) -> bool:
    kit = place.handbook.kits.get(item.action.kit)
    if kit is not None:
        return kit.infection == found.infection
    return found.infection in item.action.rule.rule


def _zones(advice: NextStepAdvice) -> list[Zone]:
    apart, act = advice.thresholds.keep_apart_from, advice.thresholds.act_from
    zones = []
    for step, first, last in (
        (CARRY_ON, 0.0, apart),
        (KEEP_APART, apart, act),
        (ACT, act, 1.0),
    ):
        if last > first:
            between = _between(first, last)
            zones.append(
                Zone(
                    step=step,
                    says=step_words(step),
                    x=on_scale(first),
                    width=on_scale(last - first),
                    between=between,
                )
            )
    return zones


def _between(first: float, last: float) -> str:
    if first == 0:
        return _("below %(n)s in 100") % {"n": in_hundred(last)}
    if last == 1:
        return _("from %(n)s in 100") % {"n": in_hundred(first)}
    return _("from %(low)s to %(high)s in 100") % {
        "low": in_hundred(first),
        "high": in_hundred(last),
    }


def _test_line(step: NextStep, advice: NextStepAdvice) -> TestLine:
    return TestLine(
        name=test_name(step.test, step.days_sampled),
        price=amount(step.price_cents, advice),
        is_assumed=step.test in advice.assumed_prices,
        pays=step.worth_cents > 0,
        worth=amount(abs(step.worth_cents), advice),
        if_positive=in_hundred(step.chance_if_positive),
        if_negative=in_hundred(step.chance_if_negative),
        then_positive=step_words(step.then_if_positive),
        then_negative=step_words(step.then_if_negative),
        is_same=step.then_if_positive == step.then_if_negative,
    )


def amount(cents: float, advice: NextStepAdvice) -> str:
    """Money of the kennel, or clinic visits where no price was said."""
    prices = advice.prices
    if prices.is_money:
        return money(round(cents), prices.currency)
    return _("%(n)s clinic visits") % {"n": f"{cents / prices.visit_cents:.2g}"}


def entries_of_figures(book: Book, kit: str) -> list[tuple[str, f.LeafletFigures]]:
    """Entry id and fact of the figures in force for a kit, by situation."""
    held = {
        entry.fact.situation: (entry.entry, entry.fact)
        for entry in book.of(f.LeafletFigures)
        if isinstance(entry.fact, f.LeafletFigures) and entry.fact.kit == kit
    }
    return list(held.values())
