"""The made-up kennel itself: pens on the sketch of the yard, kits, lots, leaflets."""

from dataclasses import dataclass

from kennelward.demo.words import HAND, KENNEL_NAME, VET, Pencil, fixed_id
from kennelward.kennel.facts import (
    KennelDescribed,
    LeafletConfirmed,
    LotCounted,
    LotReceived,
    PenDescribed,
)

FIRST_DAY = 150  # days of history

# name, kind, order within its kind, column, row on the sketch
PENS = (
    ("Whelping room", "whelping", 1, 0, 0),
    ("Second whelping room", "whelping", 2, 1, 0),
    ("Nursery", "litter", 1, 2, 0),
    ("Garden pen", "litter", 2, 3, 0),
    ("Mothers-to-be", "pregnant", 1, 4, 0),
    ("Row 1", "adults", 1, 0, 1),
    ("Row 2", "adults", 2, 1, 1),
    ("Row 3", "adults", 3, 2, 1),
    ("Row 4", "adults", 4, 3, 1),
    ("Row 5", "adults", 5, 4, 1),
    ("Row 6", "adults", 6, 5, 1),
    ("Top yard", "yard", 1, 0, 2),
    ("Guest pen", "visitor", 1, 5, 2),
    ("Gate pen 1", "quarantine", 1, 3, 3),
    ("Gate pen 2", "quarantine", 2, 4, 3),
    ("Far pen 1", "isolation", 1, 0, 4),
    ("Far pen 2", "isolation", 2, 1, 4),
    ("Far pen 3", "isolation", 3, 2, 4),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoLot:
    """A box on the demo's shelf."""

    code: str
    kit: str
    received: int  # days ago
    expires_in: int  # days from `on`; below 0: past
    count: int
    cents: int


LOTS = (
    DemoLot(
        code="OF-118",
        kit="giardia-antigen",
        received=149,
        expires_in=-40,
        count=6,
        cents=640,
    ),
    DemoLot(
        code="OF-204",
        kit="giardia-antigen",
        received=30,
        expires_in=210,
        count=8,
        cents=690,
    ),
    DemoLot(
        code="OF-131",
        kit="parvovirus-antigen",
        received=149,
        expires_in=19,
        count=5,
        cents=740,
    ),
    DemoLot(
        code="OF-177", kit="relaxin", received=100, expires_in=320, count=6, cents=820
    ),
    DemoLot(
        code="OF-190",
        kit="brucella-antibody",
        received=100,
        expires_in=410,
        count=4,
        cents=1450,
    ),
)

# kit, drops, read from, read until (minutes), samples; common practice, no source
LEAFLETS = (
    ("giardia-antigen", 3, 5, 10, ("faeces",)),
    ("parvovirus-antigen", 3, 5, 10, ("faeces",)),
    ("relaxin", 3, 10, 15, ("blood",)),
    ("brucella-antibody", 3, 10, 15, ("blood",)),
)


def pen_id(name: str) -> str:
    """Id of a pen by its name."""
    return fixed_id(f"pen {name}")


def lot_id(code: str) -> str:
    """Id of a lot by the code on its box."""
    return fixed_id(f"lot {code}")


def write_place(pencil: Pencil) -> None:
    """The kennel, its pens and what its leaflets say: the first day."""
    pencil.write(
        FIRST_DAY,
        "08:00",
        KennelDescribed(
            name=KENNEL_NAME,
            vet_name=VET,
            vet_phone="01632 960142",  # a number kept free for made-up use
            out_of_hours_phone="01632 960199",
            time_zone="UTC",
            currency="EUR",
            clinic_visit_cents=6200,
            laboratory_test_cents=4800,
        ),
    )
    for name, kind, order, column, row in PENS:
        pencil.write(
            FIRST_DAY,
            "08:10",
            PenDescribed(
                pen=pen_id(name),
                name=name,
                pen_kind=kind,
                order=order,
                column=column,
                row=row,
            ),
        )
    for kit, drops, read_from, read_until, samples in LEAFLETS:
        pencil.write(
            FIRST_DAY - 1,
            "09:30",
            LeafletConfirmed(
                kit=kit,
                drops=drops,
                read_from_minutes=read_from,
                read_until_minutes=read_until,
                storage_low_c=2,
                storage_high_c=30,
                samples=samples,
            ),
        )


def write_shelf(pencil: Pencil) -> None:
    """The boxes that came in, and one count of the shelf."""
    for lot in LOTS:
        pencil.write(
            lot.received,
            "10:00",
            LotReceived(
                lot=lot_id(lot.code),
                kit=lot.kit,
                lot_code=lot.code,
                expires_on=pencil.day(-lot.expires_in),
                count=lot.count,
                cents_each=lot.cents,
            ),
            by=HAND,
        )
    pencil.write(
        10,
        "16:30",
        LotCounted(lot=lot_id("OF-204"), count=7, why="the shelf was counted"),
        by=HAND,
    )
