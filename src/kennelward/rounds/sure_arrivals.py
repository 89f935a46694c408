"""Ways in: dogs that came, and matings outside, with the chance that each brought it."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime

from kennelward.evidence import BetaChance, Introduction, ResultSeen, interpret
from kennelward.handbook import Handbook
from kennelward.kennel import Book
from kennelward.kennel import facts as f
from kennelward.rounds.case import case_from_book
from kennelward.rounds.seen import dependences, dog_facts
from kennelward.rounds.sure_book import JoinedOn, Negative

SET_ASIDE = ("quarantine", "isolation")  # pen kinds whose dogs meet no other
BROUGHT_STRENGTH = 20  # our choice: about what twenty matings would teach


def joined_days(*, book: Book, on: date) -> Mapping[str, JoinedOn]:
    """For each dog that came in: its latest arrival, and when it left quarantine."""
    found: dict[str, JoinedOn] = {}
    for entry in book.of(f.Arrived):
        fact = entry.fact
        assert isinstance(fact, f.Arrived)
        if book.happened_on(entry) <= on and fact.dog in book.dogs:
            found[fact.dog] = JoinedOn(
                dog=fact.dog,
                arrived=book.happened_on(entry),
                joined=_joined(book, fact.dog, since=entry.happened_at, on=on),
            )
    return found


def _joined(book: Book, dog: str, *, since: datetime, on: date) -> date | None:
    """First day from `since` on which the dog was in a pen among others."""
    stays = [s for s in book.dogs[dog].stays if s.until is None or s.until > since]
    if not stays:
        return book.day_of(since)
    for stay in stays:
        pen = book.pens.get(stay.pen)
        if pen is None or pen.described.pen_kind not in SET_ASIDE:
            day = book.day_of(max(stay.since, since))
            return day if day <= on else None
    return None


def introductions(
    *,
    book: Book,
    handbook: Handbook,
    infection: str,
    since: date,
    on: date,
    joined: Mapping[str, JoinedOn],
    negatives: Sequence[Negative],
    brought_home: float,
) -> tuple[Introduction, ...]:
    """Days after `since` on which it may have come in: arrivals, matings outside."""
    found = []
    for one in joined.values():
        if one.joined is not None and since < one.joined <= on:
            own = [
                n.seen
                for n in negatives
                if n.seen is not None
                and n.why_not is None
                and n.dogs == (one.dog,)
                and one.arrived <= n.on < one.joined
            ]
            found.append(
                Introduction(
                    on=one.joined,
                    chance=_chance_of_arrival(book, handbook, infection, one, own),
                    says=f"arrival: {book.name_of(one.dog)}",
                )
            )
    for entry in book.of(f.Mated):
        day = book.happened_on(entry)
        if since < day <= on and _is_outside(book, entry.fact):
            assert isinstance(entry.fact, f.Mated)
            found.append(
                Introduction(
                    on=day,
                    chance=BetaChance(mean=brought_home, strength=BROUGHT_STRENGTH)
                    if 0 < brought_home < 1
                    else BetaChance(mean=brought_home),
                    says=f"mating: {book.name_of(entry.fact.dam)}",
                )
            )
    return tuple(sorted(found, key=lambda i: i.on))


def _is_outside(book: Book, fact: f.Fact) -> bool:
    """A mating away, or with a sire that is not in the book.

    A visiting dog counts by its arrival.
    """
    return isinstance(fact, f.Mated) and (
        fact.took_place_away or bool(fact.sire_outside)
    )


def _chance_of_arrival(
    book: Book,
    handbook: Handbook,
    infection: str,
    arrival: JoinedOn,
    own: Sequence[ResultSeen],
) -> BetaChance:
    """The dog's starting chance on its arrival, lowered by its tests in quarantine."""
    case = case_from_book(
        book=book, dog=arrival.dog, infection=infection, on=arrival.arrived
    )
    facts = dog_facts(case)
    base = handbook.priors[infection].base_for(facts).chance
    told = interpret(
        prior=handbook.prior_for(infection, facts),
        results=own,
        dependence=dependences(handbook, infection),
    )
    mean = min(max(told.chance.median, 1e-6), 1 - 1e-6)
    return BetaChance(
        mean=mean,
        strength=base.strength,
        source=base.source,
        provenance=base.provenance,
    )
