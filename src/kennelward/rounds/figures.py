"""What this kennel's own leaflets say of its kits, laid over the handbook's figures."""

from dataclasses import replace

from kennelward.evidence import BetaChance, TestPerformance, chance_from_counts
from kennelward.handbook import Handbook, Kit
from kennelward.kennel import Book
from kennelward.kennel import facts as f
from kennelward.terms import Provenance


def leaflet_figures(book: Book) -> dict[tuple[str, str], f.LeafletFigures]:
    """By kit and situation, the latest figures in the book."""
    return {
        (entry.fact.kit, entry.fact.situation): entry.fact
        for entry in book.of(f.LeafletFigures)
        if isinstance(entry.fact, f.LeafletFigures)
    }


def with_own_figures(*, book: Book, handbook: Handbook) -> Handbook:
    """The handbook with the leaflets' figures in place of its own, where they hold.

    A leaflet speaks of the dogs it was tried on and of no others: its figures take the
    place of one situation's, and every other situation keeps the handbook's. Figures of
    a situation that the handbook no longer has are left out.
    """
    own = leaflet_figures(book)
    if not own:
        return handbook
    kits = {name: _with_own(kit, own) for name, kit in handbook.kits.items()}
    return replace(handbook, kits=kits)


def _with_own(kit: Kit, own: dict[tuple[str, str], f.LeafletFigures]) -> Kit:
    performances = tuple(
        replaced(each, own[key])
        if (key := (kit.kit, each.situation.says)) in own
        else each
        for each in kit.performances
    )
    return replace(kit, performances=performances)


def replaced(performance: TestPerformance, own: f.LeafletFigures) -> TestPerformance:
    """The same test and situation with the leaflet's counts."""
    return replace(
        performance,
        sensitivity=_counted(own.infected_found, own.infected_tested, own),
        specificity=_counted(own.clean_negative, own.clean_tested, own),
    )


def _counted(right: int, tested: int, own: f.LeafletFigures) -> BetaChance:
    source = own.said_by
    if own.compared_with:
        source = f"{source}, against {own.compared_with}"
    return chance_from_counts(right, tested, source=source, provenance=Provenance.USER)


def is_own(performance: TestPerformance) -> bool:
    """True for figures that the kennel or its vet gave."""
    figures = (performance.sensitivity, performance.specificity)
    return any(figure.provenance is Provenance.USER for figure in figures)
