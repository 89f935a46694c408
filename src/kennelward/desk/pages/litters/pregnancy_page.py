"""What the page of one pregnancy shows, gathered as plain values."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from kennelward.desk.access import MAY_WRITE
from kennelward.desk.pages.handbook_page.listing import NumberLine, number_line
from kennelward.desk.pages.litters.ask import (
    chance_of_pregnancy,
    night_of,
    numbers_of,
    pregnancy_of,
    whelping_rules,
)
from kennelward.desk.pages.litters.night_words import minutes_of, sentences
from kennelward.desk.pages.litters.pictures import due_bars
from kennelward.desk.pages.litters.pregnancy_forms import NOTES, may_write
from kennelward.desk.pages.shell.entry_words import EntryLine, entry_line, strikes
from kennelward.desk.pages.shell.here import Here
from kennelward.kennel import DogCard
from kennelward.kennel import facts as f
from kennelward.rounds import PregnancyPlan
from kennelward.terms import Call, DateWindow

OF_A_CYCLE = (
    f.CycleNoted,
    f.Mated,
    f.ProgesteroneMeasured,
    f.PregnancyAged,
    f.PuppiesCounted,
    f.PregnancyLost,
    f.TemperatureTaken,
)
STATES = {  # of `PregnancyStanding`: heading, what it means
    "no-mating": (
        gettext_lazy("No mating in the book"),
        gettext_lazy(
            "These are her days if she was mated. Write the mating down, or its first "
            "and last possible day where nobody saw it."
        ),
    ),
    "untested": (
        gettext_lazy("Not tested yet"),
        gettext_lazy("Nothing but the mating speaks for a pregnancy so far."),
    ),
    "early-negative": (
        gettext_lazy("Too early to say"),
        gettext_lazy(
            "The negative came before negatives count. It says nothing: she stays "
            "expecting, and the test is repeated."
        ),
    ),
    "one-late-negative": (
        gettext_lazy("One negative, to be repeated"),
        gettext_lazy(
            "Tiny litters and wrong dates are missed. She stays expecting until a "
            "second late negative or the vet's scan."
        ),
    ),
    "likely": (
        gettext_lazy("Said to be pregnant"),
        gettext_lazy("By a strip, on that day. A scan shows whether the puppies live."),
    ),
    "confirmed": (
        gettext_lazy("Pregnant"),
        gettext_lazy("Seen by the vet."),
    ),
    "maybe-lost": (
        gettext_lazy("Was pregnant, now a negative: call the vet"),
        gettext_lazy(
            "A pregnancy may have been lost. Gloves; keep her apart and touch nothing "
            "she passes with bare hands until the vet has spoken."
        ),
    ),
    "ruled-out": (
        gettext_lazy("Said not to be pregnant"),
        gettext_lazy("By two late negatives or by the vet's scan."),
    ),
}
NEAR_TERM = (
    "near-term.temperature_times_a_day",
    "near-term.drop_to_celsius",
    "near-term.drop_by_celsius",
    "near-term.drop_hours",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class TestWindow:
    """When a test can answer, and how that stands today."""

    __test__ = False  # not a test case of pytest

    icon: str
    word: str
    says: str
    state: str  # "to come" | "open" | "over"


@dataclass(frozen=True, slots=True, kw_only=True)
class Button:
    """A thing to write down, and where."""

    word: Any
    icon: str
    url: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DayTemperatures:
    """The temperatures of one day."""

    day: date
    taken: tuple[tuple[Any, float], ...]  # moment, degrees Celsius
    missing: int  # of those asked for


def pregnancy_page(place: Here, card: DogCard) -> dict[str, Any]:
    """Everything the page shows."""
    plan = pregnancy_of(place, card.dog)
    shown: dict[str, Any] = {
        "card": card,
        "plan": plan,
        "night": night_of(place, card.dog),
        "buttons": buttons(place, card),
        "entries": cycle_entries(place, card, plan),
        "vet_at_once": _sentences(place, ".red"),
        "vet_asked": _sentences(place, ".amber"),
        "minutes": sourced(place, [f"whelping.{name}" for name in minute_names(place)]),
        "due_items": [
            item
            for item in place.plan.due.items
            if item.action.subject == card.dog and item.is_open
        ],
    }
    if plan is None:
        return shown
    heading, means = STATES[plan.standing.state.value]
    return shown | {
        "bars": due_bars(plan.due),
        "state": {"heading": heading, "means": means},
        "chance": chance_of_pregnancy(place, card.dog),
        "windows": test_windows(plan, on=place.on),
        "temperatures": temperatures(place, card, plan),
        "near_term": sourced(place, NEAR_TERM),
        "is_near": place.on >= plan.temperature_from,
        "aborted_risk": plan.standing.state.value == "maybe-lost",
        "negatives": [t for t in plan.standing.tests if t.call is Call.NEGATIVE],
    }


def _sentences(place: Here, urgency: str) -> list[str]:
    said = sentences(whelping_rules(place))
    return [says for code, says in said.items() if code.endswith(urgency)]


def minute_names(place: Here) -> list[str]:
    """Names of the whelping times in the handbook."""
    found = minutes_of(whelping_rules(place))
    names = (code.replace("-", "_").partition(".") for code in found)
    known = place.handbook.programmes.values
    return [
        name
        for rule, _dot, urgency in names
        for name in (f"{rule}_{urgency}_minutes", f"{rule}_minutes")
        if f"whelping.{name}" in known
    ]


def sourced(place: Here, paths: Sequence[str]) -> list[NumberLine]:
    """Numbers of the handbook with their source, as its own page shows them."""
    known = place.handbook.programmes.values
    return [number_line(path, known[path].latest) for path in paths if path in known]


def buttons(place: Here, card: DogCard) -> list[Button]:
    """What this login may write about her, most used first."""
    may = MAY_WRITE.get(place.role, frozenset())
    found = [
        Button(
            word=note.word,
            icon=note.icon,
            url=reverse("litters:write", args=[card.dog, code]),
        )
        for code, note in NOTES.items()
        if may_write(note, place.role)
    ]
    if f.Mated in may:
        url = reverse("dogs:act-mated", args=[card.dog])
        found.insert(1, Button(word=_("Mated"), icon="link", url=url))
    if f.TestStarted in may:
        url = reverse("bench:index") + f"?dog={card.dog}"
        found.append(Button(word=_("Run a strip"), icon="bench", url=url))
    if f.PregnancyLost in may:
        url = reverse("dogs:act-lost", args=[card.dog])
        found.append(Button(word=_("Pregnancy lost"), icon="cross", url=url))
    return found


def test_windows(plan: PregnancyPlan, *, on: date) -> list[TestWindow]:
    """Strip, scan and X-ray, in the order in which they can answer."""
    from kennelward.desk.pages.shell.templatetags.shell import day

    windows = plan.windows
    strip = _("A positive may show from %(a)s. A negative counts only from %(b)s, "
              "and even then is repeated.") % {
        "a": day(windows.strip_earliest),
        "b": day(windows.negative_counts_from),
    }  # fmt: skip
    scan = _("%(a)s to %(b)s, best about %(c)s.") % {
        "a": day(windows.scan.first),
        "b": day(windows.scan.last),
        "c": day(windows.scan_best),
    }
    x_ray = _("From %(a)s; earlier the bones do not show well enough to count.") % {
        "a": day(windows.x_ray_count.first)
    }
    return [
        TestWindow(
            icon="bench",
            word=_("Pregnancy strip"),
            says=strip,
            state=_state(DateWindow(windows.negative_counts_from, plan.due.high), on),
        ),
        TestWindow(
            icon="scan", word=_("Scan at the vet"), says=scan,
            state=_state(windows.scan, on),
        ),
        TestWindow(
            icon="scan", word=_("Counting on an X-ray"), says=x_ray,
            state=_state(
                DateWindow(
                    windows.x_ray_count.first,
                    max(windows.x_ray_count.last, plan.due.high),
                ),
                on,
            ),
        ),
    ]  # fmt: skip


def _state(window: DateWindow, on: date) -> str:
    if on < window.first:
        return "to come"
    return "open" if on <= window.last else "over"


def cycle_entries(
    place: Here, card: DogCard, plan: PregnancyPlan | None
) -> list[EntryLine]:
    """Entries of this season and pregnancy, the latest first, to be looked over."""
    since = place.on - timedelta(days=numbers_of(place).reach_days)
    why = strikes(place.book)
    return [
        entry_line(entry=entry, book=place.book, why=why)
        for entry in reversed(place.book.about(card.dog))
        if isinstance(entry.fact, OF_A_CYCLE)
        and getattr(entry.fact, "sire", "") != card.dog
        and place.book.happened_on(entry) >= since
    ]


def temperatures(
    place: Here, card: DogCard, plan: PregnancyPlan
) -> list[DayTemperatures]:
    """Each day from when temperatures are taken, the latest first."""
    asked = numbers_of(place).due_date.near_term.temperature_times_a_day
    taken: dict[date, list[tuple[Any, float]]] = {}
    for entry in place.book.about(card.dog):
        if isinstance(entry.fact, f.TemperatureTaken):
            day = place.book.happened_on(entry)
            taken.setdefault(day, []).append((entry.happened_at, entry.fact.celsius))
    first = min(
        [plan.temperature_from, *(d for d in taken if d > plan.windows.surge_on)]
    )
    days = [first + timedelta(days=n) for n in range((place.on - first).days + 1)]
    return [
        DayTemperatures(
            day=day,
            taken=tuple(taken.get(day, ())),
            missing=max(0, asked - len(taken.get(day, ()))),
        )
        for day in reversed(days)
    ]
