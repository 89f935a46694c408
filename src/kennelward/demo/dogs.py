"""The made-up adults, two bought puppies and a visiting stud."""

from dataclasses import dataclass
from datetime import timedelta

from kennelward.demo.place import FIRST_DAY, pen_id
from kennelward.demo.words import HAND, Pencil, fixed_id
from kennelward.kennel.facts import (
    Arrived,
    CycleNoted,
    DogDescribed,
    Mated,
    Moved,
    OtherResult,
    Vaccinated,
    Weighed,
    Wormed,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Adult:
    """One grown resident, as the book begins."""

    name: str
    sex: str
    months: int  # of age on `on`
    pen: str
    weight_g: int
    is_breeding: bool = True
    is_neutered: bool = False


RESIDENTS = (
    Adult(name="Juniper", sex="bitch", months=49, pen="Row 1", weight_g=12_400),
    Adult(name="Saffron", sex="bitch", months=33, pen="Row 1", weight_g=11_700),
    Adult(name="Clover", sex="bitch", months=62, pen="Row 2", weight_g=12_900),
    Adult(name="Bryony", sex="bitch", months=23, pen="Row 2", weight_g=11_200),
    Adult(name="Marigold", sex="bitch", months=77, pen="Row 3", weight_g=13_100),
    Adult(name="Fern", sex="bitch", months=26, pen="Row 3", weight_g=11_500),
    Adult(name="Tansy", sex="bitch", months=43, pen="Row 2", weight_g=12_200),
    Adult(name="Sorrel", sex="bitch", months=36, pen="Row 3", weight_g=12_600),
    Adult(
        name="Hazel",
        sex="bitch",
        months=94,
        pen="Row 4",
        weight_g=13_400,
        is_breeding=False,
        is_neutered=True,
    ),
    Adult(
        name="Willow",
        sex="bitch",
        months=107,
        pen="Row 4",
        weight_g=12_800,
        is_breeding=False,
        is_neutered=True,
    ),
    Adult(
        name="Rowan",
        sex="dog",
        months=114,
        pen="Row 4",
        weight_g=14_900,
        is_breeding=False,
        is_neutered=True,
    ),
    Adult(name="Bramble", sex="dog", months=60, pen="Row 5", weight_g=15_200),
    Adult(name="Alder", sex="dog", months=47, pen="Row 6", weight_g=14_600),
    Adult(
        name="Thistle",
        sex="dog",
        months=17,
        pen="Row 6",
        weight_g=14_100,
        is_breeding=False,
    ),
    Adult(
        name="Myrtle",
        sex="bitch",
        months=16,
        pen="Row 1",
        weight_g=11_000,
        is_breeding=False,
    ),
)

BREED = "small spaniel"


def dog_id(name: str) -> str:
    """Id of a dog by its name."""
    return fixed_id(f"dog {name}")


def chip(number: int) -> str:
    """A chip number that no registry gives out: country code 999 is for tests."""
    return f"999{number:012d}"


def write_residents(pencil: Pencil) -> None:
    """Who lives here, in which pen, with yearly vaccination and laboratory results."""
    for number, adult in enumerate(RESIDENTS, start=1):
        dog = dog_id(adult.name)
        pencil.write(
            FIRST_DAY,
            "08:30",
            DogDescribed(
                dog=dog,
                name=adult.name,
                sex=adult.sex,
                born_on=pencil.on - timedelta(days=round(adult.months * 30.4375)),
                breed=BREED,
                chip=chip(number),
                is_neutered=adult.is_neutered,
                is_breeding=adult.is_breeding,
            ),
        )
        pencil.write(
            FIRST_DAY,
            "08:40",
            Moved(dog=dog, pen=pen_id(adult.pen), why="the book begins"),
        )
        pencil.write(FIRST_DAY - 1, "11:00", Weighed(dog=dog, weight_g=adult.weight_g))
        pencil.write(
            140,
            "11:00",
            Vaccinated(
                dog=dog,
                against=("parvovirus", "distemper", "hepatitis"),
                note="yearly visit of the vet",
            ),
        )
        pencil.write(
            60, "09:00", Wormed(dog=dog, note="as the vet's plan says"), by=HAND
        )
        if adult.is_breeding:
            pencil.write(
                118,
                "15:00",
                OtherResult(
                    dog=dog,
                    infection="brucella",
                    method="laboratory-serology",
                    call="negative",
                    sampled_on=pencil.day(125),
                    laboratory="by way of the vet",
                ),
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Newcomer:
    """One dog that came in, with what was seen at the gate."""

    name: str
    sex: str
    days_old: int
    came: int  # days ago
    pen: str
    origin: str
    came_from: str
    chip: str
    weight_g: int
    vaccinated: int  # days ago, as on its card
    is_breeding: bool = False
    owner: str = ""
    outside_until: int | None = None  # days ago: last contact with dogs outside
    stool: str = "formed"


NEWCOMERS = (
    Newcomer(
        name="Nettle",
        sex="bitch",
        days_old=880,
        came=20,
        pen="Gate pen 2",
        origin="bought",
        came_from="a breeder two valleys away",
        chip=chip(31),
        weight_g=11_900,
        vaccinated=150,
        is_breeding=True,
        outside_until=20,
    ),
    Newcomer(
        name="Pip",
        sex="dog",
        days_old=64,
        came=3,
        pen="Gate pen 1",
        origin="bought",
        came_from="a breeder on the coast",
        chip=chip(32),
        weight_g=3_100,
        vaccinated=18,
        outside_until=3,
        stool="soft",
    ),
    Newcomer(
        name="Dot",
        sex="bitch",
        days_old=64,
        came=3,
        pen="Gate pen 1",
        origin="bought",
        came_from="a breeder on the coast",
        chip=chip(33),
        weight_g=2_900,
        vaccinated=18,
        outside_until=3,
    ),
    Newcomer(
        name="Corvin",
        sex="dog",
        days_old=1640,
        came=8,
        pen="Guest pen",
        origin="visiting",
        came_from="his owner's house",
        chip=chip(34),
        weight_g=15_600,
        vaccinated=200,
        is_breeding=True,
        owner="Tobias Ellerquist",
        outside_until=9,
    ),
)


def write_arrivals(pencil: Pencil) -> None:
    """Nettle for breeding, two puppies from one breeder, and Corvin on a visit.

    Corvin's owner promised his laboratory paper; it has not come yet.
    """
    for new in NEWCOMERS:
        _write_arrival(pencil, new)


def _write_arrival(pencil: Pencil, new: Newcomer) -> None:
    dog = dog_id(new.name)
    pencil.write(
        new.came,
        "15:00",
        DogDescribed(
            dog=dog,
            name=new.name,
            sex=new.sex,
            born_on=pencil.on - timedelta(days=new.days_old),
            breed=BREED,
            chip=new.chip,
            is_breeding=new.is_breeding,
            origin=new.origin,
            owner=new.owner,
        ),
    )
    is_visit = new.origin == "visiting"
    pencil.write(
        new.came,
        "15:10",
        Arrived(
            dog=dog,
            pen=pen_id(new.pen),
            came_from=new.came_from,
            source="home" if is_visit else "breeder",
            last_outside_contact_on=None
            if new.outside_until is None
            else pencil.day(new.outside_until),
            has_consent=is_visit,
            no_contact_statement=is_visit,
            gums="pink and moist",
            stool=new.stool,
            appetite="good",
            temperature_c=38.6,
        ),
    )
    pencil.write(new.came, "15:20", Weighed(dog=dog, weight_g=new.weight_g), by=HAND)
    pencil.write(
        max(1, new.came - 1),
        "09:20",
        Wormed(dog=dog, note="as the vet said on the telephone"),
        by=HAND,
    )
    pencil.write(
        new.vaccinated,
        "10:00",
        Vaccinated(
            dog=dog,
            against=("parvovirus", "distemper", "hepatitis"),
            note="as on its card",
        ),
        after_minutes=(new.vaccinated - new.came) * 24 * 60 + 330,
    )


def write_seasons(pencil: Pencil) -> None:
    """Two matings that are being waited on, and a season that has begun."""
    juniper, saffron, bryony = (dog_id(n) for n in ("Juniper", "Saffron", "Bryony"))
    pencil.write(47, "07:40", CycleNoted(dam=juniper, what="season-start"), by=HAND)
    for days_ago in (36, 34):
        pencil.write(days_ago, "10:30", Mated(dam=juniper, sire=dog_id("Alder")))
    pencil.write(35, "17:00", CycleNoted(dam=saffron, what="season-start"), by=HAND)
    for days_ago in (26, 24):
        pencil.write(days_ago, "10:30", Mated(dam=saffron, sire=dog_id("Bramble")))
    pencil.write(
        12,
        "09:00",
        Moved(dog=juniper, pen=pen_id("Mothers-to-be"), why="thought to be in whelp"),
    )
    pencil.write(4, "07:50", CycleNoted(dam=bryony, what="season-start"), by=HAND)
