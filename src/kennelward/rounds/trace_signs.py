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
from kennelward.rounds.trace_beliefs import sign_ratio
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

    By how much such signs raise the odds of such a dog in the handbook; where its
    starting chances do not know them, by its `trace_sign_ratio`. Signs within
    `trace_sign_spell_days` are one spell and count once.
    """
    values = handbook.infections[infection].values
    if "trace_sign_ratio" not in values:
        return ()
    usual = float(values["trace_sign_ratio"].value)
    apart = int(values["trace_sign_spell_days"].value)
    known = {stay.dog for stay in log.stays}
    found: list[SignSeen] = []
    last: dict[str, date] = {}
    for day, dog, signs in sorted(_seen(log, infection)):
        if dog not in known or not log.first <= day <= log.on:
            continue
        if dog in last and (day - last[dog]).days <= apart:
            last[dog] = day
            continue
        last[dog] = day
        ratio = sign_ratio(log, handbook, infection, dog=dog, signs=signs, on=day)
        found.append(
            SignSeen(
                dog=uid_of(dog),
                day=log.noon(day),
                ratio=ratio if ratio > 1 else usual,
            )
        )
    return tuple(found)


def _seen(log: TraceLog, infection: str) -> Iterator[tuple[date, str, tuple[str, ...]]]:
    """Days on which signs were written down, of which dog, and which signs."""
    book, wanted = log.book, SPEAKS_FOR[infection]
    for entry in book.of(f.Observed):
        if isinstance(entry.fact, f.Observed) and wanted & set(entry.fact.signs):
            seen = tuple(sorted(wanted & set(entry.fact.signs)))
            yield book.happened_on(entry), entry.fact.dog, seen
    for entry in book.of(f.DangerChecked):
        if isinstance(entry.fact, f.DangerChecked):
            dangers = {AS_SIGN.get(danger, "") for danger in entry.fact.dangers}
            if wanted & dangers:
                seen = tuple(sorted(wanted & dangers))
                yield book.happened_on(entry), entry.fact.dog, seen
    if infection in LOST_SPEAKS_FOR:
        for entry in book.of(f.PregnancyLost):
            if isinstance(entry.fact, f.PregnancyLost):
                yield book.happened_on(entry), entry.fact.dam, ()
