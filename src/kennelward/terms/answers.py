"""What a strip says, and the answer "this cannot be read"."""

from dataclasses import dataclass
from enum import StrEnum

# why a photo is not called whose strip shows what may be a very faint line
MAY_BE_A_LINE = "perhaps-a-line"


class Call(StrEnum):
    """What one strip says. Only `POSITIVE` and `NEGATIVE` can move a chance."""

    POSITIVE = "positive"
    NEGATIVE = "negative"
    TRACE = "trace"  # surely a line, surely below what a person sees: repeat
    INVALID = "invalid"  # no control line: no result
    UNREADABLE = "unreadable"  # the photo or the strip cannot be read

    @property
    def is_result(self) -> bool:
        """True where the strip gave a result that may count."""
        return self in (Call.POSITIVE, Call.NEGATIVE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Unreadable:
    """A photo that cannot be read: an answer, with the reason and what to do."""

    reason: str  # stable code, such as "no-window", "too-dark", "not-an-image"
    says: str  # one sentence for a person: what is wrong
    do: str  # one sentence for a person: what to do about it
