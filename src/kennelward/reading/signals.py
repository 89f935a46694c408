"""What is measured on a strip, what a kit looks like, and what is called.

The measuring inside may change (a network may take the place of the matched filter);
these types stay.
"""

from dataclasses import dataclass, field
from enum import StrEnum

from kennelward.terms import BadInput, Call, Unreadable, check_range

Point = tuple[float, float]  # x to the right, y down, in pixels of the upright photo

_Z90_OF_Z95 = 1.6449 / 1.96  # normal quantiles of a 90 % and a 95 % interval


class Direction(StrEnum):
    """Who said at which end of the window the sample went in."""

    HOUSING = "housing"  # the sample well is seen in the photo
    USER = "user"  # a person said so
    ASSUMED = "assumed"  # a picture cut to the window: nobody can see it
    UNSURE = "unsure"


@dataclass(frozen=True, slots=True, kw_only=True)
class StripLayout:
    """Where a kit's lines lie. Filled from the handbook; the values here are typical.

    `positions` are centres as a share of the window's length, counted from the end
    where the sample goes in.
    """

    lines: tuple[str, ...] = ("control", "test")
    positions: tuple[float, ...] = (0.66, 0.36)
    position_tolerance: float = 0.14  # share of the window's length
    window_aspect_low: float = 2.2  # length : width of the opening
    window_aspect_high: float = 7.5
    line_colour: str = "gold"  # gold | blue | black | any

    def __post_init__(self) -> None:
        if len(self.lines) != len(self.positions) or len(set(self.lines)) < 2:
            raise BadInput("a strip layout needs one position for each of 2+ lines")
        if self.lines[0] != "control":
            raise BadInput('the first line of a strip layout must be "control"')
        if self.line_colour not in ("gold", "blue", "black", "any"):
            raise BadInput(f"unknown line colour: {self.line_colour}")
        for place in self.positions:
            check_range("line position", place, low=0.05, high=0.95)
        check_range("position tolerance", self.position_tolerance, low=0.01, high=0.3)
        check_range("window aspect, low", self.window_aspect_low, low=1.5, high=20)
        check_range(
            "window aspect, high",
            self.window_aspect_high,
            low=self.window_aspect_low,
            high=20,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class CallCutoffs:
    """Where one call ends and the next begins; optical density in linear green.

    Filled from the handbook, where each value has its source.
    """

    doubtful_od: float = 0.010  # surely below: trace, not seen by a person
    faint_od: float = 0.10  # a positive below this is flagged faint
    control_od: float = 0.04  # a control line weaker than this is none
    negative_needs_od: float = 0.085  # a negative must have been able to show this
    clear_od: float = 0.03  # surely above: a positive even on a poor photo

    def __post_init__(self) -> None:
        for name in ("doubtful_od", "faint_od", "control_od", "negative_needs_od"):
            check_range(name, getattr(self, name), low=0.001, high=1)
        check_range("clear_od", self.clear_od, low=self.doubtful_od, high=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class LineSignal:
    """One place where the kit can have a line, as the photo shows it."""

    name: str  # "control", "test"...; "first", "second" while the direction is unsure
    position: float  # share of the window's length from the sample end
    contrast: float  # peak optical density in linear green; below 0 is lighter
    low: float  # 95 % interval of `contrast`
    high: float
    noise_sd: float  # optical density, pooled with what such photos have
    chance_line: float  # 0 to 1 that this is a line
    is_seen: bool  # stands out from what blank membrane does
    red_to_green: float  # ratio of optical densities; 0 where too weak to tell
    is_grey: bool = False  # as lines are that come up while a strip dries
    is_maybe: bool = False  # so faint and unsure that it may be a blemish

    def __post_init__(self) -> None:
        check_range("chance of a line", self.chance_line, low=0, high=1)
        check_range("contrast", self.contrast, low=self.low, high=self.high)

    @property
    def interval_90(self) -> tuple[float, float]:
        """90 % interval of `contrast`: of a line as a share, of blank as an amount."""
        if self.is_seen and self.low > 0:
            return (
                self.contrast * (self.low / self.contrast) ** _Z90_OF_Z95,
                self.contrast * (self.high / self.contrast) ** _Z90_OF_Z95,
            )
        return (
            self.contrast - (self.contrast - self.low) * _Z90_OF_Z95,
            self.contrast + (self.high - self.contrast) * _Z90_OF_Z95,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Quality:
    """How good the photo of the strip is. Never looks at the test line."""

    window_px: float  # length of the window in the photo
    sharpness: float  # 0 to 1; 1 is as sharp as pixels allow
    clipped: float  # share of the membrane that is white-out
    dark: float  # share of the membrane that is black
    unevenness: float  # optical density from end to end of the membrane

    @property
    def worst(self) -> str:
        """The refusal that fits this photo best, or empty where it is good."""
        if self.clipped > 0.25 or self.unevenness > 0.5:
            return "shadow-or-glare"
        if self.dark > 0.5:
            return "too-dark"
        if self.window_px < 45:
            return "too-far"
        return "blurred" if self.sharpness < 0.25 else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StripSignals:
    """Everything the call may use, and what a page needs to show it."""

    lines: tuple[LineSignal, ...]  # in the order of the layout; control first
    direction: Direction
    could_see: float  # optical density that would be found 95 times in 100
    quality: Quality
    corners: tuple[Point, Point, Point, Point]  # the first two at the sample end
    profile: tuple[float, ...]  # optical density along the flow, from the sample end
    detection_limit: float  # optical density above which a bump is a line
    extra_lines: int = 0  # seen where the kit has none
    is_cut: bool = False  # an end of the window lies outside the picture
    is_window_unsure: bool = False  # its corners may be off by more than lines allow
    is_housing_clear: bool = True  # beyond doubt a strip's, or a person said so
    is_between: bool = False  # one line alone, as near to control's place as to test's
    is_window_dark: bool = False  # darker beside its housing than any membrane
    reader: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StripCall:
    """What the strip says, and what the photo could have shown."""

    call: Call
    is_faint: bool = False
    could_see: float  # optical density; a weaker line would have been missed
    reasons: tuple[str, ...] = field(default=())  # stable codes, such as "look-again"


@dataclass(frozen=True, slots=True, kw_only=True)
class StripReading:
    """A photo read from end to end."""

    outcome: StripCall | Unreadable
    signals: StripSignals | None  # None where no window was measured
    photo_size: tuple[int, int] | None  # width, height of the upright photo
    reader: str

    @property
    def call(self) -> Call:
        """The call; `UNREADABLE` where there is none."""
        if isinstance(self.outcome, StripCall):
            return self.outcome.call
        return Call.UNREADABLE

    @property
    def is_faint(self) -> bool:
        """True for a positive near the limit of the eye."""
        return isinstance(self.outcome, StripCall) and self.outcome.is_faint

    @property
    def reason(self) -> str:
        """Why it is unreadable, or empty."""
        return self.outcome.reason if isinstance(self.outcome, Unreadable) else ""
