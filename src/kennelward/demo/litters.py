"""The made-up litters: ten weeks, four weeks and three days old, weighed as they grew."""

from dataclasses import dataclass

from kennelward.demo.dogs import BREED, chip, dog_id
from kennelward.demo.place import pen_id
from kennelward.demo.words import HAND, Pencil, fixed_id
from kennelward.kennel.facts import (
    DogDescribed,
    Left,
    Mated,
    Moved,
    Noted,
    PuppyDied,
    Struck,
    Vaccinated,
    VetCalled,
    Weighed,
    Whelped,
    Wormed,
)

DAYS_FROM_MATING = 63  # the demo's bitches all carry as long


@dataclass(frozen=True, slots=True, kw_only=True)
class Brood:
    """One litter: its dam, when it was born, and its puppies by name and sex."""

    name: str
    dam: str
    sire: str  # of this kennel, or empty
    sire_outside: str
    born: int  # days ago
    stillborn: int
    died_unnamed: int
    pen: str
    puppies: tuple[tuple[str, str], ...]


BROODS = (
    Brood(
        name="Clover's litter",
        dam="Clover",
        sire="Bramble",
        sire_outside="",
        born=70,
        stillborn=0,
        died_unnamed=0,
        pen="Whelping room",
        puppies=(
            ("Figgy", "bitch"),
            ("Mossy", "dog"),
            ("Burr", "dog"),
            ("Reed", "dog"),
            ("Linnet", "bitch"),
            ("Teasel", "bitch"),
        ),
    ),
    Brood(
        name="Tansy's litter",
        dam="Tansy",
        sire="Alder",
        sire_outside="",
        born=28,
        stillborn=0,
        died_unnamed=0,
        pen="Second whelping room",
        puppies=(
            ("Wren", "bitch"),
            ("Lark", "bitch"),
            ("Pipit", "dog"),
            ("Siskin", "dog"),
            ("Finch", "bitch"),
            ("Martin", "dog"),
            ("Plover", "dog"),
        ),
    ),
    Brood(
        name="Sorrel's litter",
        dam="Sorrel",
        sire="",
        sire_outside="Harrow of Dunmere Rise",
        born=3,
        stillborn=2,
        died_unnamed=1,
        pen="Whelping room",
        puppies=(
            ("Ember", "bitch"),
            ("Cinder", "bitch"),
            ("Spark", "dog"),
            ("Ash", "dog"),
        ),
    ),
)


def litter_id(name: str) -> str:
    """Id of a litter by its name."""
    return fixed_id(f"litter {name}")


def write_litters(pencil: Pencil) -> None:
    """Matings, births, puppies, weights, moves, losses."""
    for brood in BROODS:
        _write_birth(pencil, brood)
        _write_weights(pencil, brood)
    _write_growing_up(pencil)
    _write_losses(pencil)
    _write_a_mistake(pencil)


def _write_birth(pencil: Pencil, brood: Brood) -> None:
    dam, sire = dog_id(brood.dam), dog_id(brood.sire) if brood.sire else ""
    pencil.write(
        brood.born + DAYS_FROM_MATING,
        "11:00",
        Mated(
            dam=dam,
            sire=sire,
            sire_outside=brood.sire_outside,
            method="chilled" if brood.sire_outside else "natural",
        ),
    )
    pencil.write(
        brood.born + 7,
        "09:00",
        Moved(dog=dam, pen=pen_id(brood.pen), why="near her day"),
    )
    pencil.write(
        brood.born,
        "04:30",
        Whelped(
            litter=litter_id(brood.name),
            name=brood.name,
            dam=dam,
            sire=sire,
            born_alive=len(brood.puppies) + brood.died_unnamed,
            stillborn=brood.stillborn,
        ),
    )
    for name, sex in brood.puppies:
        pencil.write(
            brood.born,
            "06:00",
            DogDescribed(
                dog=dog_id(name),
                name=name,
                sex=sex,
                born_on=pencil.day(brood.born),
                breed=BREED,
                dam=dam,
                sire=sire,
                litter=litter_id(brood.name),
            ),
        )
        pencil.write(
            brood.born,
            "06:05",
            Moved(dog=dog_id(name), pen=pen_id(brood.pen), why="born"),
        )


def puppy_weight_g(*, birth_g: int, age_days: int) -> float:
    """A smooth made-up growth: twice the birth weight at day 10, then 55 g a day."""
    if age_days <= 10:
        return round(birth_g * (1 + age_days / 10))
    return round(2 * birth_g + 55 * (age_days - 10))


def _write_weights(pencil: Pencil, brood: Brood) -> None:
    """Daily for two weeks, then twice a week to the seventh week, then weekly."""
    for number, (name, _) in enumerate(brood.puppies):
        for age in range(brood.born):
            is_weighing_day = (
                age <= 14 or (age <= 49 and age % 7 in (0, 3)) or age % 7 == 0
            )
            if not is_weighing_day:
                continue
            weight = puppy_weight_g(birth_g=285 + 11 * number, age_days=age)
            pencil.write(
                brood.born - age,
                "17:30",
                Weighed(dog=dog_id(name), weight_g=weight),
                by=HAND,
            )


def _write_growing_up(pencil: Pencil) -> None:
    """The oldest litter is weaned, vaccinated, and one of it goes to a new home."""
    clover, tansy, _ = BROODS
    for number, (name, sex) in enumerate(clover.puppies, start=51):
        pencil.write(
            16,
            "11:40",
            DogDescribed(
                dog=dog_id(name),
                name=name,
                sex=sex,
                born_on=pencil.day(clover.born),
                breed=BREED,
                chip=chip(number),
                dam=dog_id(clover.dam),
                sire=dog_id(clover.sire),
                litter=litter_id(clover.name),
            ),
        )
    for brood, days_ago, pen in ((clover, 42, "Garden pen"), (tansy, 5, "Nursery")):
        for name in (brood.dam, *(puppy for puppy, _ in brood.puppies)):
            pencil.write(days_ago, "10:00", Moved(dog=dog_id(name), pen=pen_id(pen)))
    pencil.write(
        18,
        "10:00",
        Moved(dog=dog_id(clover.dam), pen=pen_id("Row 2"), why="puppies are weaned"),
    )
    _write_puppy_care(pencil)
    pencil.write(
        3,
        "14:00",
        Left(
            dog=dog_id("Linnet"),
            why="sold",
            went_to="a family in Oskerby",
            note="the family asked to be rung if a littermate falls ill",
        ),
    )


def _write_puppy_care(pencil: Pencil) -> None:
    """Worming and the first vaccination."""
    clover, tansy, _ = BROODS
    for name, _ in clover.puppies:
        dog = dog_id(name)
        for days_ago in (56, 42, 28, 14):
            pencil.write(
                days_ago,
                "12:00",
                Wormed(dog=dog, note="as the vet's plan says"),
                by=HAND,
            )
        pencil.write(
            26,
            "11:30",
            Vaccinated(
                dog=dog,
                against=("parvovirus", "distemper"),
                note="first one, by the vet",
            ),
        )
    for name in (tansy.dam, *(puppy for puppy, _ in tansy.puppies)):
        for days_ago in (14, 1):
            pencil.write(
                days_ago,
                "12:20",
                Wormed(dog=dog_id(name), note="as the vet's plan says"),
                by=HAND,
            )


def _write_losses(pencil: Pencil) -> None:
    """Sorrel's litter: two born dead, one dead on the second day, the vet told."""
    sorrel = BROODS[2]
    pencil.write(
        3,
        "05:10",
        Noted(
            about=dog_id("Sorrel"),
            text="Two born dead. Gloves on, both kept cool in the sealed box, not in a "
            "food fridge.",
        ),
    )
    pencil.write(
        2,
        "06:40",
        PuppyDied(
            litter=litter_id(sorrel.name),
            note="one dog puppy, weak since birth; kept cool with the others",
        ),
    )
    pencil.write(
        2,
        "08:20",
        VetCalled(
            dog=dog_id("Sorrel"),
            note="will send the puppies to the laboratory and take blood from Sorrel",
        ),
    )


def _write_a_mistake(pencil: Pencil) -> None:
    """A weight with a figure missing, struck through, and the right one in its place."""
    wrong = pencil.write(
        9, "17:40", Weighed(dog=dog_id("Tansy"), weight_g=1_260), by=HAND
    )
    pencil.write(
        9, "18:05", Struck(entry=wrong, why="a figure was left out: it was 12.60 kg")
    )
    pencil.write(
        9,
        "17:40",
        Weighed(dog=dog_id("Tansy"), weight_g=12_600),
        after_minutes=27,
    )
