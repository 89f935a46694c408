"""Whom the cases of an infection exposed, and until when each is watched."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta

from kennelward.kennel import Contact, ContactHow, contacts, quarantine_until
from kennelward.kennel.facts import Cleaned
from kennelward.programme.cases import Case, cases
from kennelward.programme.view import View
from kennelward.terms import DateWindow


@dataclass(frozen=True, slots=True, kw_only=True)
class Exposed:
    """One dog that met cases of one infection."""

    dog: str
    infection: str
    entry: str  # what opened the latest case it has to do with
    last_contact: date
    clock_starts: date  # later of the last contact and the latest case of the group
    until: date  # last day of its quarantine
    of: tuple[str, ...]  # the cases it met


def exposed(view: View, infection: str) -> dict[str, Exposed]:
    """Dogs here that met a case and are no case themselves, by dog."""
    return view.keep(("exposed", infection), lambda: _exposed(view, infection))


def met_by(view: View, case: Case) -> tuple[Contact, ...]:
    """Whom a case met while it may have infected others, also dogs gone since."""
    return view.keep(("met", case.infection, case.dog), lambda: _met(view, case))


def _met(view: View, case: Case) -> tuple[Contact, ...]:
    back = view.number(f"{case.infection}.contact_look_back_days")
    first = case.first_day - timedelta(days=back)
    last = min(view.on, case.ends_on) if case.ends_on is not None else view.on
    if last < first:
        return ()
    return contacts(
        view.book,
        case.dog,
        window=DateWindow(first, last),
        used_after_days=view.number(f"{case.infection}.pen_used_after_days"),
    )


def _matters(view: View, case: Case) -> bool:
    """Open, or over for less than a quarantine."""
    if case.is_open or case.ends_on is None:
        return case.is_open
    quarantine = view.number(f"{case.infection}.contact_quarantine_days")
    return view.days_ago(case.ends_on) <= quarantine and case.infection == "parvovirus"


def _exposed(view: View, infection: str) -> dict[str, Exposed]:
    found = cases(view, infection)
    active = {dog: case for dog, case in found.items() if _matters(view, case)}
    days: dict[str, dict[str, date]] = defaultdict(dict)  # contact -> case -> last day
    for case in active.values():
        for contact in met_by(view, case):
            is_case = contact.dog in found and found[contact.dog].is_open
            last = _last_day(view, case, contact)
            if contact.dog in view.here and not is_case and last is not None:
                before = days[contact.dog].get(case.dog, date.min)
                days[contact.dog][case.dog] = max(before, last)
    group = _groups(view, active)
    quarantine = view.number(f"{infection}.contact_quarantine_days")
    made = {}
    for dog, met in sorted(days.items()):
        near = {other for of in met for other in group[of]}
        latest = max((active[of] for of in near), key=lambda c: (c.first_day, c.dog))
        until = quarantine_until(
            contact_days=list(met.values()),
            case_days=[active[of].first_day for of in near],
            days=quarantine,
        )
        if until is not None:
            made[dog] = Exposed(
                dog=dog,
                infection=infection,
                entry=latest.entry,
                last_contact=max(met.values()),
                clock_starts=until - timedelta(days=quarantine),
                until=until,
                of=tuple(sorted(met)),
            )
    return made


def _last_day(view: View, case: Case, contact: Contact) -> date | None:
    """Last day on which the contact could be infected; None where it could not.

    A pen used after the case is safe once it was cleaned. Littermates that live apart
    met last when the case began.
    """
    if contact.how is ContactHow.SAME_LITTER:
        pens = {view.book.dogs[dog].pen for dog in (case.dog, contact.dog)}
        return contact.last if len(pens) == 1 else min(contact.last, case.first_day)
    if contact.how is ContactHow.PEN_USED_AFTER:
        left = _left_pen(view, case, contact.pen)
        cleaned = [
            view.day(entry)
            for entry in view.by_dog(Cleaned, name="pen").get(contact.pen, ())
            if left is None or view.day(entry) >= left
        ]
        if cleaned and cleaned[0] < contact.first:
            return None
        return min([contact.last, *cleaned[:1]])
    return contact.last


def _left_pen(view: View, case: Case, pen: str) -> date | None:
    left = [
        view.book.day_of(stay.until)
        for stay in view.book.dogs[case.dog].stays
        if stay.pen == pen and stay.until is not None
    ]
    return max(left, default=None)


def _groups(view: View, active: dict[str, Case]) -> dict[str, set[str]]:
    """For each case, the cases that belong together: they met, or met the same dog."""
    reach = {
        dog: {dog, *(contact.dog for contact in met_by(view, case))}
        for dog, case in active.items()
    }
    group = {dog: {dog} for dog in active}
    for one in active:
        for other in active:
            if group[one] is not group[other] and reach[one] & reach[other]:
                joined = group[one] | group[other]
                for member in joined:
                    group[member] = joined
    return group
