"""Infections and pregnancy: numbers, differentials, cleaning, priors, cautions."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from kennelward.evidence import BetaChance, Contribution, Dependence, Prior, prior
from kennelward.programme import DatedValue
from kennelward.terms import BadInput, Phrase, Provenance


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One warning, shown where it matters."""

    id: str
    says: Phrase
    source: str
    provenance: Provenance
    overlaid_by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Infection:
    """What is known of one infection; `pregnancy` has the same shape."""

    infection: str
    name: str
    is_zoonotic: bool  # can people catch it from the dog
    says: Phrase
    cleaning: tuple[Phrase, ...]
    differentials: tuple[str, ...]  # what else looks like it
    cautions: tuple[str, ...]
    dependence: Dependence  # how far results of one dog repeat each other
    values: Mapping[str, DatedValue]
    no_plan: str = ""  # why strips are never planned to make sure it is absent


@dataclass(frozen=True, slots=True, kw_only=True)
class DogFacts:
    """What is known of a dog before its test, as far as priors ask for it."""

    age_days: int
    signs: Sequence[str] = ()
    is_vaccinated: bool | None = None  # against this infection, at least once
    came_from: str = "unknown"  # the words of `Arrived.source`
    is_contact: bool = False  # of a case
    is_kennel_dog: bool = True  # lives or lived with many dogs
    mating_method: str = ""  # of a bitch that was mated
    is_mated_outside: bool = False  # with an outside dog, or its semen


@dataclass(frozen=True, slots=True, kw_only=True)
class PriorWhen:
    """The dogs that a prior holds for. What is not named does not matter."""

    age_days_from: int = 0
    age_days_below: int = 100_000
    any_sign: tuple[str, ...] = ()
    no_sign: tuple[str, ...] = ()
    is_vaccinated: bool | None = None
    is_contact: bool | None = None
    is_kennel_dog: bool | None = None
    is_mated_outside: bool | None = None
    came_from: tuple[str, ...] = ()
    mating_methods: tuple[str, ...] = ()

    def fits(self, facts: DogFacts) -> bool:
        """True where the prior holds for this dog."""
        signs = set(facts.signs)
        return (
            self.age_days_from <= facts.age_days < self.age_days_below
            and (not self.any_sign or bool(signs & set(self.any_sign)))
            and not signs & set(self.no_sign)
            and self.is_vaccinated in (None, facts.is_vaccinated)
            and self.is_contact in (None, facts.is_contact)
            and self.is_kennel_dog in (None, facts.is_kennel_dog)
            and self.is_mated_outside in (None, facts.is_mated_outside)
            and (not self.came_from or facts.came_from in self.came_from)
            and (not self.mating_methods or facts.mating_method in self.mating_methods)
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class PriorBase:
    """A starting chance, 0 to 1, for dogs of one kind."""

    id: str
    says: str  # sentence with `{n}`
    when: PriorWhen
    chance: BetaChance


@dataclass(frozen=True, slots=True, kw_only=True)
class PriorStep:
    """Something that raises or lowers the starting chance."""

    id: str
    when: PriorWhen
    contribution: Contribution


@dataclass(frozen=True, slots=True, kw_only=True)
class Priors:
    """Where the chance of one infection starts."""

    infection: str
    bases: tuple[PriorBase, ...]  # most special first; the last fits any dog
    steps: tuple[PriorStep, ...] = ()
    overlaid_by: str = field(default="")

    def base_for(self, facts: DogFacts) -> PriorBase:
        """The first base that fits. Raises BadInput where none does."""
        for base in self.bases:
            if base.when.fits(facts):
                return base
        raise BadInput(f"no starting chance of {self.infection} fits this dog")

    def prior_for(self, facts: DogFacts) -> Prior:
        """The chance before a test: the base that fits and every step that does."""
        base = self.base_for(facts)
        return prior(
            base.chance,
            says=base.says,
            contributions=[s.contribution for s in self.steps if s.when.fits(facts)],
        )
