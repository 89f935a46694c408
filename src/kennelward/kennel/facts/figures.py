"""Facts about what tests of this kennel can do, and what steps cost it."""

from dataclasses import dataclass
from typing import ClassVar

from kennelward.kennel.facts.words import Fact, check_choice
from kennelward.terms import BadInput, check_range, check_text

FIGURES_FROM = ("leaflet", "vet")
MOST_TESTED = 1_000_000
MOST_CENTS = 100_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class LeafletFigures(Fact):
    """How often the kit in use was right, as counts off its own leaflet.

    They hold for the dogs of one situation of the handbook. The latest for a kit and
    situation holds.
    """

    kind: ClassVar[str] = "leaflet-figures"
    kit: str  # handbook id
    situation: str  # words of one of the kit's situations in the handbook
    infected_tested: int  # dogs that had it, by the method compared with
    infected_found: int  # of these, positive on the strip
    clean_tested: int  # dogs that had it not
    clean_negative: int  # of these, negative on the strip
    said_by: str = "leaflet"
    compared_with: str = ""  # the method that said who had it

    def __post_init__(self) -> None:
        check_text("situation", self.situation)
        check_choice("said by", self.said_by, FIGURES_FROM)
        for tested, right, name in (
            (self.infected_tested, self.infected_found, "infected"),
            (self.clean_tested, self.clean_negative, "clean"),
        ):
            check_range(f"{name} dogs tested", tested, low=1, high=MOST_TESTED)
            check_range(f"{name} dogs called right", right, low=0, high=tested)
        found = (self.infected_found + 1) / (self.infected_tested + 2)
        cleared = (self.clean_negative + 1) / (self.clean_tested + 2)
        if found + cleared <= 1:
            raise BadInput(
                f"positive in {self.infected_found} of {self.infected_tested} that had "
                f"it and negative in {self.clean_negative} of {self.clean_tested} that "
                "had it not: by these a positive would lower the chance; look which "
                "number is which"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class HarmsSaid(Fact):
    """What each way of going on costs this kennel, by what the dog turns out to be.

    In hundredths of its currency. The latest for an infection holds.
    """

    kind: ClassVar[str] = "harms-said"
    infection: str  # handbook id
    missed_infected_cents: int  # went on as usual, and it was infected
    apart_clean_cents: int  # kept apart, and it was not
    apart_infected_cents: int  # kept apart, and it was infected
    act_clean_cents: int  # apart and to the vet, and it was not infected
    act_infected_cents: int  # apart and to the vet, and it was infected

    def __post_init__(self) -> None:
        for name in (
            "missed_infected_cents",
            "apart_clean_cents",
            "apart_infected_cents",
            "act_clean_cents",
            "act_infected_cents",
        ):
            said = name.removesuffix("_cents").replace("_", " ")
            check_range(f"price of {said}", getattr(self, name), low=0, high=MOST_CENTS)
