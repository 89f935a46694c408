"""The handbook once it is read: every number, every rule, every caution."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from kennelward.evidence import BetaChance, Prior
from kennelward.handbook.infection import Caution, DogFacts, Infection, Priors
from kennelward.handbook.kit import Kit, Method
from kennelward.handbook.spread_policies import PolicySet
from kennelward.litters import LitterNumbers
from kennelward.programme import DatedValue, ProgrammeRules, litter_numbers
from kennelward.terms import BadInput, Provenance, Sourced


@dataclass(frozen=True, slots=True, kw_only=True)
class Programme:
    """A set of rules with a title."""

    programme: str
    title: str
    says: str
    values: Mapping[str, DatedValue]


@dataclass(frozen=True, slots=True, kw_only=True)
class Handbook:
    """Everything that rules, chances and the bench take from files."""

    kits: Mapping[str, Kit]
    infections: Mapping[str, Infection]
    methods: Mapping[str, Method]
    priors: Mapping[str, Priors]
    programmes: ProgrammeRules
    programme_titles: Mapping[str, Programme]
    policies: Mapping[str, PolicySet]  # kind -> ready policies for what may happen
    cautions: Mapping[str, Caution]
    sources: Mapping[str, str]  # source id -> citation
    since: date  # the day our test figures and priors took force
    hash: str  # SHA-256 over every file, overlays too
    overlays: tuple[str, ...] = ()  # whose overlays are laid over

    def values(self) -> Iterator[tuple[str, Sourced]]:
        """Every number with its source: the latest of each dated value, and each chance.

        Paths look like "brucella.clearing_days" and
        "giardia-antigen.sensitivity: any dog".
        """
        for path, value in sorted(self.programmes.values.items()):
            yield path, value.latest
        for kit, card in sorted(self.kits.items()):
            for found in card.performances:
                says = found.situation.says
                yield from self._pair(kit, says, found.sensitivity, found.specificity)
        for method, card_of in sorted(self.methods.items()):
            for each in card_of.performances:
                says = f"{each.infection}, samples from {each.days_sampled} day(s)"
                figures = each.performance
                yield from self._pair(
                    method, says, figures.sensitivity, figures.specificity
                )
        yield from self._prior_values()

    def _pair(
        self, owner: str, says: str, sensitivity: BetaChance, specificity: BetaChance
    ) -> Iterator[tuple[str, Sourced]]:
        for name, chance in (
            ("sensitivity", sensitivity),
            ("specificity", specificity),
        ):
            yield f"{owner}.{name}: {says}", self._chance(f"{name}, {says}", chance)

    def _prior_values(self) -> Iterator[tuple[str, Sourced]]:
        for infection, priors in sorted(self.priors.items()):
            for base in priors.bases:
                path = f"{infection}.prior.{base.id}"
                yield (
                    path,
                    self._chance(base.says.replace("{n}", "so many"), base.chance),
                )
            for step in priors.steps:
                moved = step.contribution
                yield (
                    f"{infection}.prior.{step.id}",
                    Sourced(
                        value=moved.log_odds,
                        unit="log-odds",
                        says=moved.says.replace("{n}", "so many"),
                        source=moved.source,
                        provenance=moved.provenance,
                        since=self.since,
                    ),
                )

    def _chance(self, says: str, chance: BetaChance) -> Sourced:
        spread = chance.interval()
        return Sourced(
            value=chance.mean,
            unit="chance",
            says=says,
            source=chance.source,
            provenance=chance.provenance,
            since=self.since,
            low=spread.low,
            high=spread.high,
            overlaid_by=", ".join(self.overlays)
            if chance.provenance is Provenance.USER
            else "",
        )

    def number(self, path: str) -> float:
        """A number by its path, such as "brucella.clearing_days"."""
        if path not in self.programmes.values:
            raise BadInput(f"the handbook has no value {path!r}")
        return self.programmes.values[path].value

    def litters(self, on: date) -> LitterNumbers:
        """The numbers of due dates, nights, growth and losses, as in force on a day."""
        return _litters(_Same(self), on)

    def kits_for(self, infection: str) -> tuple[Kit, ...]:
        """Kits that look for an infection, by id."""
        return tuple(
            kit for _, kit in sorted(self.kits.items()) if kit.infection == infection
        )

    def prior_for(self, infection: str, facts: DogFacts) -> Prior:
        """The chance before a test of one dog."""
        if infection not in self.priors:
            raise BadInput(f"the handbook has no starting chance for {infection!r}")
        return self.priors[infection].prior_for(facts)


class _Same:
    """A handbook, compared by its files' hash."""

    def __init__(self, handbook: Handbook) -> None:
        self.handbook = handbook

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.handbook.hash == self.handbook.hash

    def __hash__(self) -> int:
        return hash(self.handbook.hash)


@lru_cache(maxsize=16)
def _litters(same: _Same, on: date) -> LitterNumbers:
    return litter_numbers(lambda path: same.handbook.programmes.number(path, on))
