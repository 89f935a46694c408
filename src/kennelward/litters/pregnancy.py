"""When each pregnancy test can answer, and when her time is over."""

from dataclasses import dataclass
from datetime import date, timedelta

from kennelward.litters.breeding import BreedingFacts
from kennelward.litters.due_date import DueDate, of_the_season, surge_day
from kennelward.litters.gestation import DueDateModel, TestDays
from kennelward.terms import DateWindow


@dataclass(frozen=True, slots=True, kw_only=True)
class PregnancyWindows:
    """Days for each test, from what is known about the surge."""

    strip_earliest: date
    negative_counts_from: date
    scan: DateWindow
    scan_best: date
    x_ray_count: DateWindow
    surge_on: date  # likeliest
    surge_known_to_days: float  # half of the 80 % window of the surge


def pregnancy_windows(
    facts: BreedingFacts, *, days: TestDays, model: DueDateModel
) -> PregnancyWindows:
    """Test windows, safe for the late end of what the surge may be.

    A negative counts from so many days after a surge that was measured. Where only
    matings are known it counts from the last one, by its own number of days; where
    progesterone or a scan says more, from the later of that and the late end of the
    days that hold the surge with 80 %.
    """
    found = surge_day(of_the_season(facts), model=model)
    gestation = model.gestation
    if facts.lh_on is not None:
        surge = facts.lh_on
    elif facts.ovulation_on is not None:
        before = round(gestation.surge_to_ovulation_days)
        surge = facts.ovulation_on - timedelta(days=before)
    else:
        surge = found.median
    counts_from = surge + timedelta(days=days.negative_counts_lh_days)
    if facts.lh_on is None and facts.ovulation_on is None:
        counts_from = found.high + timedelta(days=days.negative_counts_lh_days)
        if facts.matings:
            last = max(mating.on for mating in facts.matings)
            by_mating = last + timedelta(days=days.negative_counts_mating_days)
            counts_from = max(counts_from, by_mating) if _is_timed(facts) else by_mating
    return PregnancyWindows(
        strip_earliest=surge + timedelta(days=days.earliest_lh_days),
        negative_counts_from=counts_from,
        scan=_window(surge, days.scan_first_lh_days, days.scan_last_lh_days),
        scan_best=surge + timedelta(days=days.scan_best_lh_days),
        x_ray_count=_window(surge, days.x_ray_first_lh_days, days.x_ray_last_lh_days),
        surge_on=surge,
        surge_known_to_days=(found.high - found.low).days / 2,
    )


def _is_timed(facts: BreedingFacts) -> bool:
    """True where something other than matings speaks of the surge."""
    return bool(facts.progesterone or facts.aged)


def _window(surge: date, first: int, last: int) -> DateWindow:
    return DateWindow(surge + timedelta(days=first), surge + timedelta(days=last))


def is_overdue(
    *,
    due: DueDate,
    on: date,
    lh_on: date | None,
    last_mating_on: date | None,
    days: TestDays,
) -> bool:
    """True past her last day from LH or from the last mating: call the vet."""
    if lh_on is not None and (on - lh_on).days >= days.overdue_lh_days:
        return True
    if (
        last_mating_on is not None
        and (on - last_mating_on).days >= days.overdue_mating_days
    ):
        return True
    return lh_on is None and last_mating_on is None and due.chance_by(on) > 0.99
