"""From what is known to what the simulator runs: a course and a test in one world."""

from math import exp, log
from typing import Any

from kennelward.spread.environment import decay_and_deposit
from kennelward.spread.knowledge import Knowledge, World
from kennelward.spread.model import Course, TestKind
from kennelward.spread.tables import constant_table, lognormal_table

LONGEST = 4.0  # SDs of the logarithm at which a table is cut
MONTH = 30.4375  # days
TITRE_LOG2_SD = 1.0  # between litters; common practice, no source
PRODUCTS = ("soap", "bleach", "peroxide", "quat", "steam")
SURFACES = ("floor", "porous", "soil")


def course_of(knowledge: Knowledge, world: World) -> Course:
    """How the infection runs and spreads in this world."""
    latency = _spread_table(world, "latency")
    delay = _spread_table(world, "sign_delay")
    if knowledge.is_chronic:
        # Nobody measured how it fares in a pen: no contamination is simulated, and the
        # pages say so. Contact stands for all that is slow.
        return Course(
            name=knowledge.infection,
            latency=latency,
            shedding=constant_table(1.0),
            sign_delay=delay,
            direct=-log(1 - world.value("contact_a_month")) / MONTH,
            from_place=0.0,
            deposit=0.0,
            chance_clinical=world.value("signs"),
            notice=world.value("notice"),
            is_chronic=True,
            venereal=world.value("mating", 0.0),
            birth_exposure=world.value("birth", 0.0),
            carried_days=world.value("carried_days"),
            **_more(world),
        )
    shedding = world.value("shedding_days")
    full, tail = world.value("full_share"), world.value("tail")
    sheds = shedding * (full + tail * (1 - full))  # full shedding days
    hazard = -log(1 - world.value("attack"))
    by_place = world.value("by_place")
    # In an uncleaned indoor pen the place gives its share by the end of the shedding.
    met = decay_and_deposit(
        level=0.0, shed=sheds / shedding, decay=decay(world, "floor"), days=shedding
    ).integral
    return Course(
        name=knowledge.infection,
        latency=latency,
        shedding=_spread_table(world, "shedding"),
        sign_delay=delay,
        direct=(1 - by_place) * hazard / sheds,
        from_place=by_place * hazard / met,
        full_share=full,
        tail=tail,
        chance_clinical=world.value("signs"),
        chance_death=world.value("death", 0.0),
        notice=world.value("notice"),
        again=world.value("again", -1.0),
        staff_pick=world.value("staff_pick", 0.0),
        staff_drop=world.value("staff_drop", 0.0),
        carried_days=world.value("carried_days"),
        unwashed=min(1.0, world.value("works_unwashed", 1.0)),
        **_more(world),
    )


def _more(world: World) -> dict[str, Any]:
    """What only some infections have: pauses in shedding, air, a vaccine."""
    return {
        "on_share": min(1.0, world.value("sheds_share", 1.0)),
        "on_days": max(1, round(world.value("sheds_days", 1.0))),
        "from_air": world.value("air_a_day", 0.0),
        "vaccine_keeps": min(1.0, world.value("vaccinated", 1.0)),
        "vaccine_days": world.value("vaccine_takes_days", 0.0),
    }


def kind_of_test(
    world: World, *, delay_days: float = 0.0, window: tuple[float, float] | None = None
) -> TestKind:
    """The kennel's test in this world.

    `window`: of an antibody test, the day after infection before which it finds
    nothing, and the day from which it has all its sensitivity.
    """
    first, full = window or (-1.0, -1.0)
    return TestKind(
        sensitivity_silent=world.value("test_finds_silent"),
        sensitivity_sick=world.value("test_finds_sick"),
        specificity=world.value("test_clears"),
        correlation=min(world.value("test_correlation"), 0.95),
        delay_days=delay_days,
        antibody_from=first,
        antibody_full=full,
    )


def decay(world: World, surface: str) -> float:
    """Decay a day of contamination on a surface; porous decays as a floor does."""
    name = "half_life_soil_days" if surface == "soil" else "half_life_floor_days"
    half_life = world.value(name, 0.0)
    return log(2) / half_life if half_life > 0 else 1.0


def works(world: World, surface: str) -> float:
    """How much of a cleaning's decimal logs count on a surface, 0 to 1."""
    if surface == "floor":
        return 1.0
    return world.value(f"works_{surface}", 1.0)


def logs(world: World, product: str) -> float:
    """Decimal logs that a product takes off a washed hard floor; 0 if unknown."""
    return world.value(f"logs_{product}", 0.0)


def protected_days(world: World, *, titre_share: float) -> tuple[float, float]:
    """Days of age until a puppy loses protection, and until a vaccine can take.

    `titre_share`: where the puppy's first titre lies among its kind, -1 to 1 on the
    scale of the logarithm's SD. (0, 0) where dams give no protection.
    """
    half_life = world.value("maternal_half_life_days", 0.0)
    if half_life <= 0:
        return 0.0, 0.0
    titre = log(world.value("maternal_titre"), 2) + TITRE_LOG2_SD * titre_share

    def until(named: str) -> float:
        return max(0.0, half_life * (titre - log(world.value(named), 2)))

    return until("maternal_protects"), until("maternal_blocks")


def _spread_table(world: World, name: str) -> tuple[float, ...]:
    middle, log_sd = world.value(f"{name}_days"), world.value(f"{name}_log_sd")
    return lognormal_table(
        median=middle, log_sd=log_sd, longest=middle * exp(LONGEST * log_sd)
    )
