"""The handbook's numbers and rules as lines a person can read and search."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext, ngettext

from kennelward.desk.pages.shell.labels import PROVENANCES, label
from kennelward.desk.pages.shell.templatetags.shell import as_percent
from kennelward.programme import ProgrammeRules, Rule
from kennelward.terms import Sourced
from kennelward.terms.phrases import fill

CHANCE = "chance"


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberLine:
    """One number with everything known about it."""

    path: str
    anchor: str  # the path as an address within the page
    owner: str  # first part of the path: a kit, an infection, a method
    says: str
    value: str
    unit: str
    between: str  # "3 to 7", or empty
    source: str
    provenance: str
    is_published: bool
    since: date
    overlaid_by: str

    @property
    def words(self) -> str:
        """What a search looks through."""
        return f"{self.path} {self.says} {self.unit} {self.source} {self.overlaid_by}"


def number_line(path: str, found: Sourced) -> NumberLine:
    """The line of one number."""
    between = ""
    show = as_percent if found.unit == CHANCE else plain
    if found.low is not None and found.high is not None:
        between = gettext("%(low)s to %(high)s") % {
            "low": show(found.low),
            "high": show(found.high),
        }
    return NumberLine(
        path=path,
        anchor=anchor_of(path),
        owner=path.partition(".")[0],
        says=gettext(found.says),
        value=show(found.value),
        unit="" if found.unit == CHANCE else unit_words(found.unit, found.value),
        between=between,
        source="" if found.source == found.provenance.value else found.source,
        provenance=label(found.provenance.value, PROVENANCES),
        is_published=found.provenance.value == "published",
        since=found.since,
        overlaid_by=found.overlaid_by,
    )


def unit_words(unit: str, value: float) -> str:
    """A unit in the singular or the plural; one without words here as it is."""
    count = 1 if value == 1 else 2
    words = {
        "day": ngettext("day", "days", count),
        "week": ngettext("week", "weeks", count),
        "month": ngettext("month", "months", count),
        "minute": ngettext("minute", "minutes", count),
        "drop": ngettext("drop", "drops", count),
        "gram": ngettext("gram", "grams", count),
        "degree Celsius": gettext("°C"),
        "count": "",
    }
    return words.get(unit, gettext(unit))


def anchor_of(path: str) -> str:
    """A path as the id of its line: no spaces."""
    return re.sub(r"[^\w.-]+", "-", path).strip("-")


def plain(value: float) -> str:
    """A number as short as it is exact to four figures."""
    return f"{value:.4g}"


def numbers(
    values: Iterable[tuple[str, Sourced]], *, wanted: str
) -> list[tuple[str, list[NumberLine]]]:
    """Numbers that hold every wanted word, grouped by whom they are about."""
    words = wanted.casefold().split()
    groups: dict[str, list[NumberLine]] = {}
    for path, found in values:
        line = number_line(path, found)
        if all(word in line.words.casefold() for word in words):
            groups.setdefault(line.owner, []).append(line)
    return sorted(groups.items())


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleLine:
    """One programme rule in words."""

    id: str
    says: str
    because: str
    kit: str
    cautions: tuple[str, ...]
    source: str
    provenance: str
    since: date
    overlaid_by: str
    is_now: bool


def rule_groups(
    rules: ProgrammeRules, *, on: date, wanted: str
) -> list[tuple[str, list[RuleLine]]]:
    """Rules in force that hold every wanted word, by programme."""
    words = wanted.casefold().split()
    groups: dict[str, list[RuleLine]] = {}
    for rule in rules.in_force(on):
        line = rule_line(rule)
        text = (
            f"{rule.id} {rule.ref.programme} {line.says} {line.because} {line.source}"
        )
        if all(word in text.casefold() for word in words):
            groups.setdefault(rule.ref.programme, []).append(line)
    return list(groups.items())


def rule_line(rule: Rule) -> RuleLine:
    """The line of one rule, its numbers filled in and its dogs left open."""
    numbers_in = {name: str(amount) for name, amount in rule.shows.items()}
    return RuleLine(
        id=rule.id,
        says=in_general(rule.says, numbers_in),
        because=in_general(rule.because, numbers_in),
        kit=rule.kit,
        cautions=rule.cautions,
        source="" if rule.ref.source == rule.ref.provenance.value else rule.ref.source,
        provenance=label(rule.ref.provenance.value, PROVENANCES),
        since=rule.ref.since,
        overlaid_by=rule.ref.overlaid_by,
        is_now=rule.urgency == "now",
    )


class _Open(dict[str, str]):
    """Names that only a real case fills are shown as they are, in pointed brackets."""

    def __contains__(self, name: object) -> bool:
        return True

    def __missing__(self, name: str) -> str:
        return f"‹{gettext(name.replace('_', ' '))}›"


def in_general(template: str, known: dict[str, str]) -> str:
    """A rule's sentence before it is about anybody."""
    return fill(gettext(template), _Open(known))
