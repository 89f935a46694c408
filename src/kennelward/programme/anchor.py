"""What set a rule going: an entry, a day and a subject."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date


@dataclass(frozen=True, slots=True, kw_only=True)
class Anchor:
    """One occasion for a rule."""

    subject: str
    entry: str  # entry id that the action's key names
    day: date  # offsets count from here
    kind: str = "dog"  # dog | pen | litter | lot | kennel
    dog: str = ""  # the dog it is about, where the subject is none
    until: date | None = None  # last day, where the facts set it and no offset does
    since: date | None = None  # day from which an end counts; `day` where it is None
    shows: Mapping[str, str | int | float] = field(default_factory=dict)

    @property
    def counted_from(self) -> date:
        """Day from which what was done counts."""
        return self.since or self.day

    @property
    def about_dog(self) -> str:
        """Dog that conditions look at; empty where there is none."""
        return self.dog or (self.subject if self.kind == "dog" else "")
