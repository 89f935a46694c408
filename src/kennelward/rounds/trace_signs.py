"""Signs in the book that speak for an infection, as tracing weighs them beside tests.

Only what was written down counts. That nothing was written speaks for no dog: a round
may have been skipped, and many infected dogs look well.
"""

from collections.abc import Iterator
from datetime import date

from kennelward.handbook import Handbook
from kennelward.kennel import facts as f
from kennelward.programme.signs import AS_SIGN
from kennelward.rounds.ahead_view import uid_of
from kennelward.rounds.trace_log import TraceLog
from kennelward.spread.trace import SignSeen

SPEAKS_FOR = {  # of what the round and the danger check can write down
    "parvovirus": frozenset({"vomiting", "diarrhoea", "bloody-stool"}),
    "giardia": frozenset({"soft-stool", "diarrhoea"}),
    "brucella": frozenset({"scrotal-swelling", "back-pain"}),  # and a lost pregnancy
}
LOST_SPEAKS_FOR = ("brucella",)


def signs_in(
    *, log: TraceLog, handbook: Handbook, infection: str
) -> tuple[SignSeen, ...]:
    """The first day of each spell of signs in the log, with what it is worth.

    How much such a sign says is the handbook's `trace_sign_ratio`. Signs within
    `trace_sign_spell_days` are one spell and count once.
    """
    values = handbook.infections[infection].values
    if "trace_sign_ratio" not in values:
        return ()
    apart = int(values["trace_sign_spell_days"].value)
    known = {stay.dog for stay in log.stays}
    found: list[SignSeen] = []
    last: dict[str, date] = {}
    for day, dog in sorted(_seen(log, infection)):
        if dog not in known or not log.first <= day <= log.on:
            continue
        if dog in last and (day - last[dog]).days <= apart:
            last[dog] = day
            continue
        last[dog] = day
        found.append(
            SignSeen(
                dog=uid_of(dog),
                day=float((day - log.first).days),
                ratio=float(values["trace_sign_ratio"].value),
            )
        )
    return tuple(found)


def _seen(log: TraceLog, infection: str) -> Iterator[tuple[date, str]]:
    """Days on which a sign was written down, and of which dog."""
    book, wanted = log.book, SPEAKS_FOR[infection]
    for entry in book.of(f.Observed):
        if isinstance(entry.fact, f.Observed) and wanted & set(entry.fact.signs):
            yield book.happened_on(entry), entry.fact.dog
    for entry in book.of(f.DangerChecked):
        if isinstance(entry.fact, f.DangerChecked):
            seen = {AS_SIGN.get(danger, "") for danger in entry.fact.dangers}
            if wanted & seen:
                yield book.happened_on(entry), entry.fact.dog
    if infection in LOST_SPEAKS_FOR:
        for entry in book.of(f.PregnancyLost):
            if isinstance(entry.fact, f.PregnancyLost):
                yield book.happened_on(entry), entry.fact.dam
