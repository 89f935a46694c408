"""What the coming days need against what is on the shelf and when it expires.

Every day is played through exactly: kits past their printed date leave the shelf in
the morning, then the day's tests take the kits that expire first.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from kennelward.stock.lots import Lot, first_expired_first, is_expired
from kennelward.terms import DateWindow, check_range, check_text

MONTH_DAYS = 30


@dataclass(frozen=True, slots=True, kw_only=True)
class TestsDue:
    """So many tests of one kit that fall on a day."""

    __test__ = False  # not a test case of pytest

    kit: str
    on: date
    count: int = 1

    def __post_init__(self) -> None:
        check_text("kit", self.kit)
        check_range("tests due", self.count, low=0)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfDay:
    """One kit on one day."""

    day: date
    usable: int  # in the morning, after expired kits are gone
    needed: int
    used: int
    expired: int  # kits that left the shelf this morning, past their printed date

    @property
    def short(self) -> int:
        """Tests due this day for which no usable kit is left."""
        return self.needed - self.used


@dataclass(frozen=True, slots=True, kw_only=True)
class KitNeed:
    """One kit over the window: what it takes, what is there, what is short or wasted."""

    kit: str
    window: DateWindow
    days: tuple[ShelfDay, ...]  # one for every day of the window

    @property
    def needed(self) -> int:
        """Tests due in the window."""
        return sum(day.needed for day in self.days)

    @property
    def usable_now(self) -> int:
        """Kits that may be used on the first day."""
        return self.days[0].usable

    @property
    def used(self) -> int:
        """Tests in the window for which there is a kit."""
        return sum(day.used for day in self.days)

    @property
    def short(self) -> int:
        """Tests in the window for which there is none."""
        return sum(day.short for day in self.days)

    @property
    def short_from(self) -> date | None:
        """The first day that falls short, or None."""
        return next((day.day for day in self.days if day.short), None)

    @property
    def expiring(self) -> int:
        """Kits usable on the first day or later that expire unused in the window."""
        return sum(day.expired for day in self.days[1:])

    @property
    def left(self) -> int:
        """Usable kits that the last day leaves."""
        return self.days[-1].usable - self.days[-1].used


def needs(
    *,
    lots: Iterable[Lot],
    due: Iterable[TestsDue],
    on: date,
    days: int = MONTH_DAYS,
) -> tuple[KitNeed, ...]:
    """What each kit needs from `on` for `days` days, by kit.

    Tests due before `on` are overdue and count on the first day; those after the last
    day are left out. A kit is listed where it is due or on the shelf.
    """
    check_range("days to look ahead", days, low=1, high=3660, unit="days")
    window = DateWindow(on, on + timedelta(days=days - 1))
    wanted = _wanted(due, window)
    shelf = list(lots)
    kits = {lot.kit for lot in shelf if lot.count} | {kit for kit, _ in wanted}
    return tuple(
        KitNeed(
            kit=kit,
            window=window,
            days=_play(
                [lot for lot in shelf if lot.kit == kit],
                wanted={day: n for (k, day), n in wanted.items() if k == kit},
                window=window,
            ),
        )
        for kit in sorted(kits)
    )


def _wanted(due: Iterable[TestsDue], window: DateWindow) -> Counter[tuple[str, date]]:
    wanted: Counter[tuple[str, date]] = Counter()
    for tests in due:
        day = max(tests.on, window.first)
        if day in window and tests.count:
            wanted[tests.kit, day] += tests.count
    return wanted


def _play(
    lots: list[Lot], *, wanted: dict[date, int], window: DateWindow
) -> tuple[ShelfDay, ...]:
    """The days one after the other, first expired first used."""
    left = {lot.lot: lot.count for lot in lots}
    order = sorted(lots, key=first_expired_first)
    played = []
    for day in window:
        expired = 0
        for lot in order:
            if is_expired(expires_on=lot.expires_on, on=day):
                expired += left[lot.lot]
                left[lot.lot] = 0
        morning = sum(left.values())
        needed = wanted.get(day, 0)
        still = needed
        for lot in order:
            taken = min(still, left[lot.lot])
            left[lot.lot] -= taken
            still -= taken
        played.append(
            ShelfDay(
                day=day,
                usable=morning,
                needed=needed,
                used=needed - still,
                expired=expired,
            )
        )
    return tuple(played)
