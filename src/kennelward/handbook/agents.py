"""Kits, infections, methods and cautions, read from TOML."""

from kennelward.evidence import UninformativeWindow
from kennelward.handbook.by_day import read_by_day
from kennelward.handbook.chances import (
    read_dependence,
    read_performance,
    read_performances,
    read_windows,
)
from kennelward.handbook.check import Table
from kennelward.handbook.infection import Caution, Infection
from kennelward.handbook.kit import (
    NEEDS,
    Kit,
    LeafletStep,
    Method,
    MethodPerformance,
)
from kennelward.handbook.programmes import Known, read_amount
from kennelward.handbook.values import Origin, read_values
from kennelward.programme import DatedValue
from kennelward.programme.rules import CaseSigns
from kennelward.reading import CallCutoffs, StripLayout
from kennelward.terms import Phrase

PREGNANCY = "pregnancy"
KIT_VALUES = (  # every kit says these
    "drops",
    "read_from_minutes",
    "read_until_minutes",
    "storage_low_c",
    "storage_high_c",
    "shelf_life_months",
)
INFECTION_VALUES = (  # every infection says these: contacts, and how sure a kennel can be
    "contact_look_back_days",
    "pen_used_after_days",
    "contact_quarantine_days",
    "sure_infected_share",
    "sure_absent_at_start",
    "sure_unwritten_a_year",
    "sure_brought_home",
    "sure_pool_keeps",
    "sure_young_risk",
    "sure_young_days",
)


def read_kit(
    table: Table, *, values: dict[str, DatedValue], origin: Origin, known: Known
) -> Kit:
    """One kit. `values` are its own, with overlays laid over."""
    kit = table.text("id")
    for name in KIT_VALUES:
        if name not in values:
            raise table.fail(f"values.{name}", "is missing", "Every kit needs it.")
    sees = table.text("sees")
    cutoffs = {
        name.removeprefix("cutoff_"): value.value
        for name, value in values.items()
        if name.startswith("cutoff_")
    }
    steps = tuple(_step(inner, known) for inner in table.tables("steps"))
    made = Kit(
        kit=kit,
        name=table.text("name"),
        infection=table.choice("infection", tuple(known.infections)),
        sees=sees,
        samples=table.texts("samples"),
        is_for_vet_or_trained=table.yes("is_for_vet_or_trained"),
        values=values,
        layout=_layout(table.table("layout")),
        cutoffs=table.making(lambda: CallCutoffs(**cutoffs)),
        steps=steps,
        performances=read_performances(
            table.tables("performances", may_lack=False),
            test=kit,
            sees=sees,
            origin=origin,
        ),
        windows=read_windows(
            table.tables("windows"), test=kit, origin=origin, known=known
        ),
        by_day=read_by_day(
            table.tables("by_day"), test=kit, origin=origin, known=known
        ),
    )
    low, high = made.storage_c
    if low >= high:
        raise table.fail(
            "values.storage_high_c", f"got {high:g}", f"It must be above {low:g}."
        )
    if made.read_until_minutes < made.read_from_minutes:
        raise table.fail(
            "values.read_until_minutes",
            f"got {made.read_until_minutes:g}",
            f"It must be {made.read_from_minutes:g} or more, the minute reading starts.",
        )
    table.done()
    return made


def _layout(table: Table) -> StripLayout:
    positions = table.raw("positions")
    layout = table.making(
        lambda: StripLayout(
            lines=table.texts("lines"),
            positions=tuple(float(place) for place in positions),
            position_tolerance=table.number("position_tolerance", low=0.01, high=0.3),
            window_aspect_low=table.number("window_aspect_low", low=1.5, high=20),
            window_aspect_high=table.number("window_aspect_high", low=1.5, high=20),
            line_colour=table.choice("line_colour", ["gold", "blue", "black", "any"]),
        )
    )
    table.text("source")
    table.done()
    return layout


def _step(table: Table, known: Known) -> LeafletStep:
    step = LeafletStep(
        says=Phrase(table.text("says")),
        picture=table.text("picture", default=""),
        cautions=table.texts("cautions", allowed=tuple(known.cautions), default=()),
    )
    table.done()
    return step


def read_infection(
    table: Table, *, values: dict[str, DatedValue], origin: Origin, known: Known
) -> Infection:
    """One infection, or pregnancy."""
    infection = table.text("id")
    if infection != PREGNANCY:
        for name in INFECTION_VALUES:
            if name not in values:
                raise table.fail(
                    f"values.{name}", "is missing", "Every infection needs it."
                )
    made = Infection(
        infection=infection,
        name=table.text("name"),
        is_zoonotic=table.yes("is_zoonotic"),
        says=Phrase(table.text("says")),
        cleaning=tuple(Phrase(step) for step in table.texts("cleaning", default=())),
        differentials=table.texts("differentials", default=()),
        cautions=table.texts("cautions", allowed=tuple(known.cautions), default=()),
        dependence=read_dependence(table.table("dependence"), origin=origin),
        values=values,
        no_plan=table.text("no_plan", default=""),
    )
    table.texts("clearing_methods", allowed=tuple(known.methods), default=())
    read_case_signs(table, infection=infection, known=known)
    table.done()
    return made


def read_case_signs(
    table: Table, *, infection: str, known: Known
) -> tuple[CaseSigns, ...]:
    """`[[case_signs]]`: what makes a case by signs alone."""
    from kennelward.kennel.facts import SIGNS

    found = []
    for inner in table.tables("case_signs"):
        signs = inner.texts("any_sign", allowed=SIGNS)
        found.append(
            CaseSigns(
                infection=infection,
                age_days_below=read_amount(
                    inner,
                    "age_days_below",
                    owner=infection,
                    known=known,
                    default=3700,
                ),
                any_sign=signs,
                at_least=inner.whole("at_least", low=1, high=len(signs), default=1),
            )
        )
        for key in ("says", "source"):
            inner.text(key)
        inner.done()
    return tuple(found)


def read_method(table: Table, *, origin: Origin, known: Known) -> Method:
    """One method of the vet or a laboratory."""
    method = table.text("id")
    infections = table.texts("infections", allowed=tuple(known.infections))
    performances = []
    for inner in table.tables("performances"):
        infection = inner.choice("infection", infections)
        days = inner.whole("days_sampled", low=1, high=10, default=1)
        sees = inner.text("sees")
        needs = inner.texts("needs", allowed=NEEDS, default=())
        performances.append(
            MethodPerformance(
                infection=infection,
                days_sampled=days,
                needs=needs,
                performance=read_performance(
                    inner, test=method, sees=sees, origin=origin
                ),
            )
        )
    made = Method(
        method=method,
        name=table.text("name"),
        says=table.text("says"),
        infections=infections,
        performances=tuple(performances),
        windows=_method_windows(
            table, method=method, infections=infections, origin=origin, known=known
        ),
    )
    table.done()
    return made


def _method_windows(
    table: Table,
    *,
    method: str,
    infections: tuple[str, ...],
    origin: Origin,
    known: Known,
) -> tuple[tuple[str, UninformativeWindow], ...]:
    """`[[windows]]` of a method; one may hold for one of its infections alone."""
    found = []
    for inner in table.tables("windows"):
        about = inner.choice("infection", ("", *infections), default="")
        (window,) = read_windows([inner], test=method, origin=origin, known=known)
        found.append((about, window))
    return tuple(found)


def read_cautions(table: Table, *, origin: Origin) -> dict[str, Caution]:
    """Every `[<caution id>]` of cautions.toml."""
    found = {}
    for name, inner in table.each():
        source, provenance = origin.read(inner)
        found[name] = Caution(
            id=name,
            says=Phrase(inner.text("says")),
            source=source,
            provenance=provenance,
            overlaid_by=origin.overlaid_by,
        )
        inner.done()
    return found


def read_sources(table: Table) -> dict[str, str]:
    """Source ids and citations of sources.toml."""
    found = {}
    for name, inner in table.each():
        found[name] = inner.text("cites")
        inner.text("note", default="")
        inner.done()
    return found


__all__ = [
    "read_cautions",
    "read_infection",
    "read_kit",
    "read_method",
    "read_sources",
    "read_values",
]
