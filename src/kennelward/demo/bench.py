"""Strips that were run at the made-up kennel: what a person saw, and the vet's results."""

from dataclasses import dataclass

from kennelward.demo.dogs import dog_id
from kennelward.demo.place import lot_id
from kennelward.demo.words import HAND, OWNER, Pencil, fixed_id
from kennelward.kennel.facts import (
    DangerChecked,
    OtherResult,
    StripSeen,
    TestStarted,
)
from kennelward.terms import Call


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoStrip:
    """One strip: for whom, from which box, and what a person saw on it."""

    mark: str  # a short name, also of its photo
    dog: str
    kit: str
    lot: str  # code
    days_ago: int
    clock: str
    seen: Call
    minutes: float  # after the drops
    sample: str = "faeces"
    is_faint: bool = False
    dangers: tuple[str, ...] = ()
    checked: str = ""  # when the danger check was made; empty: just before the strip
    by: str = HAND


EARLIER = (
    DemoStrip(
        mark="nettle-giardia",
        dog="Nettle",
        kit="giardia-antigen",
        lot="OF-204",
        days_ago=19,
        clock="10:20",
        seen=Call.NEGATIVE,
        minutes=6,
    ),
    DemoStrip(
        mark="nettle-brucella",
        dog="Nettle",
        kit="brucella-antibody",
        lot="OF-190",
        days_ago=19,
        clock="11:00",
        seen=Call.NEGATIVE,
        minutes=11,
        sample="blood",
        by=OWNER,
    ),
    DemoStrip(
        mark="hazel-giardia",
        dog="Hazel",
        kit="giardia-antigen",
        lot="OF-204",
        days_ago=8,
        clock="09:40",
        seen=Call.POSITIVE,
        minutes=6,
    ),
)

# The strips whose photos the main job reads.
PHOTOGRAPHED = (
    DemoStrip(
        mark="figgy-parvovirus",
        dog="Figgy",
        kit="parvovirus-antigen",
        lot="OF-131",
        days_ago=1,
        clock="18:30",
        seen=Call.POSITIVE,
        minutes=6,
        dangers=("dull", "vomiting-again"),
        checked="17:48",
        by=OWNER,
    ),
    DemoStrip(
        mark="mossy-parvovirus",
        dog="Mossy",
        kit="parvovirus-antigen",
        lot="OF-131",
        days_ago=1,
        clock="18:45",
        seen=Call.INVALID,
        minutes=7,
        by=OWNER,
    ),
    DemoStrip(
        mark="pip-giardia",
        dog="Pip",
        kit="giardia-antigen",
        lot="OF-204",
        days_ago=1,
        clock="16:10",
        seen=Call.POSITIVE,
        minutes=7,
        is_faint=True,
    ),
    DemoStrip(
        mark="dot-giardia",
        dog="Dot",
        kit="giardia-antigen",
        lot="OF-204",
        days_ago=1,
        clock="16:25",
        seen=Call.UNREADABLE,
        minutes=7,
    ),
    DemoStrip(
        mark="thistle-giardia",
        dog="Thistle",
        kit="giardia-antigen",
        lot="OF-204",
        days_ago=1,
        clock="11:15",
        seen=Call.NEGATIVE,
        minutes=6,
    ),
    DemoStrip(
        mark="fern-giardia",
        dog="Fern",
        kit="giardia-antigen",
        lot="OF-118",
        days_ago=2,
        clock="11:30",
        seen=Call.NEGATIVE,
        minutes=6,
    ),
    DemoStrip(
        mark="juniper-relaxin",
        dog="Juniper",
        kit="relaxin",
        lot="OF-177",
        days_ago=1,
        clock="10:05",
        seen=Call.POSITIVE,
        minutes=11,
        sample="blood",
        by=OWNER,
    ),
    DemoStrip(
        mark="saffron-relaxin",
        dog="Saffron",
        kit="relaxin",
        lot="OF-177",
        days_ago=1,
        clock="10:20",
        seen=Call.NEGATIVE,
        minutes=11,
        sample="blood",
        by=OWNER,
    ),
    DemoStrip(
        mark="corvin-brucella",
        dog="Corvin",
        kit="brucella-antibody",
        lot="OF-190",
        days_ago=7,
        clock="10:40",
        seen=Call.NEGATIVE,
        minutes=12,
        sample="blood",
        by=OWNER,
    ),
)


def test_id(mark: str) -> str:
    """Id of a strip test by its short name."""
    return fixed_id(f"test {mark}")


def write_bench(pencil: Pencil) -> None:
    """Each strip: the danger check before it, its start, and what was seen on it."""
    for strip in EARLIER + PHOTOGRAPHED:
        dog, hour = dog_id(strip.dog), strip.clock
        pencil.write(
            strip.days_ago,
            strip.checked or hour,
            DangerChecked(dog=dog, dangers=strip.dangers),
            by=strip.by,
            after_minutes=0,
        )
        pencil.write(
            strip.days_ago,
            hour,
            TestStarted(
                test=test_id(strip.mark),
                dog=dog,
                kit=strip.kit,
                sample=strip.sample,
                lot=lot_id(strip.lot),
            ),
            by=strip.by,
        )
        pencil.write(
            strip.days_ago,
            _later(hour, int(strip.minutes)),
            StripSeen(
                test=test_id(strip.mark),
                call=strip.seen.value,
                is_faint=strip.is_faint,
                minutes=strip.minutes,
            ),
            by=strip.by,
        )
    pencil.write(
        2,
        "12:10",
        OtherResult(
            dog=dog_id("Pip"),
            infection="giardia",
            method="flotation",
            call="negative",
            days_sampled=1,
            sampled_on=pencil.day(2),
            laboratory="at the vet's, one sample",
        ),
    )


def _later(clock: str, minutes: int) -> str:
    hours, first = clock.split(":")
    total = int(hours) * 60 + int(first) + minutes
    return f"{total // 60:02d}:{total % 60:02d}"
