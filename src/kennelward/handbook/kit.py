"""Kits and other methods: what they see, how they are run, how often they are right."""

from collections.abc import Mapping
from dataclasses import dataclass

from kennelward.evidence import ReaderError, TestPerformance, UninformativeWindow
from kennelward.handbook.by_day import ByDay
from kennelward.programme import DatedValue
from kennelward.reading import CallCutoffs, StripLayout
from kennelward.terms import BadInput, Phrase

NEEDS = ("visit", "laboratory")  # the vet draws or looks; a laboratory's price
LINE_MISSED = "reader_line_missed"  # values of a kit whose reader was measured
LINE_IMAGINED = "reader_line_imagined"


@dataclass(frozen=True, slots=True, kw_only=True)
class LeafletStep:
    """One step of running a strip, with the cautions that go with it."""

    says: Phrase
    picture: str  # code of the drawing that goes with it
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Kit:
    """One kind of strip test.

    Drops, minutes and storage are common practice to start from. None of them counts
    until the kennel confirmed what the leaflet of its own kit says.
    """

    kit: str
    name: str
    infection: str  # infection id; "pregnancy" for relaxin
    sees: str
    samples: tuple[str, ...]
    is_for_vet_or_trained: bool  # the sample is blood
    values: Mapping[str, DatedValue]
    layout: StripLayout
    cutoffs: CallCutoffs
    steps: tuple[LeafletStep, ...]
    performances: tuple[TestPerformance, ...]  # most special situation first
    windows: tuple[UninformativeWindow, ...]
    by_day: tuple[ByDay, ...] = ()  # when it can see what it looks for
    overlaid_by: str = ""

    @property
    def drops(self) -> int:
        """Drops of sample mix, by common practice."""
        return round(self.values["drops"].value)

    @property
    def read_from_minutes(self) -> float:
        """Minutes after the drops when reading starts, by common practice."""
        return self.values["read_from_minutes"].value

    @property
    def read_until_minutes(self) -> float:
        """Minutes after the drops when reading ends, by common practice."""
        return self.values["read_until_minutes"].value

    @property
    def reader_error(self) -> ReaderError | None:
        """How often the reader is wrong about a line; None where nobody measured it."""
        missed, imagined = self.values.get(LINE_MISSED), self.values.get(LINE_IMAGINED)
        if missed is None or imagined is None:
            return None
        return ReaderError(line_missed=missed.value, line_imagined=imagined.value)

    @property
    def events(self) -> tuple[str, ...]:
        """Events that a question "when can it answer?" may count from."""
        return tuple(event for one in self.by_day for event in one.events)

    def curve_from(self, event: str) -> ByDay:
        """The curve whose days may be counted from `event`. Raises BadInput."""
        for one in self.by_day:
            if event in one.events:
                return one
        raise BadInput(
            f"{self.kit}: days must be counted from one of {', '.join(self.events)}; "
            f"got {event!r}"
        )

    @property
    def storage_c(self) -> tuple[float, float]:
        """Lowest and highest storage temperature, degrees Celsius."""
        return (
            self.values["storage_low_c"].value,
            self.values["storage_high_c"].value,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class MethodPerformance:
    """How often another method is right about one infection."""

    infection: str
    days_sampled: int  # samples from at least so many different days
    performance: TestPerformance
    needs: tuple[str, ...] = ()  # what is paid for: NEEDS


@dataclass(frozen=True, slots=True, kw_only=True)
class Method:
    """A test that the vet or a laboratory does."""

    method: str
    name: str
    says: str
    infections: tuple[str, ...]
    performances: tuple[MethodPerformance, ...]
    windows: tuple[
        tuple[str, UninformativeWindow], ...
    ] = ()  # infection, or "" for all

    def windows_for(self, infection: str) -> tuple[UninformativeWindow, ...]:
        """Days on which a result about this infection says less than usual."""
        return tuple(
            window for about, window in self.windows if about in ("", infection)
        )

    def performance_for(
        self, infection: str, *, days_sampled: int = 1
    ) -> TestPerformance:
        """The figures that hold for so many days of samples.

        Raises BadInput where the handbook has none.
        """
        fitting = [
            found
            for found in self.performances
            if found.infection == infection and found.days_sampled <= days_sampled
        ]
        if not fitting:
            raise BadInput(f"{self.method}: no figures for {infection}")
        return max(fitting, key=lambda found: found.days_sampled).performance
