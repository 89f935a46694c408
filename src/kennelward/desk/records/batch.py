"""A book that grows while several entries are checked one after another."""

from datetime import datetime

from kennelward.kennel import Book, Entry, check_entry
from kennelward.kennel import facts as f

_SUBJECTS = ("dog", "dam", "sire", "litter", "test", "course", "lot", "chip", "entry")


class BookBeingWritten:
    """Checks each entry against the book with all entries before it.

    Folding a book of five years takes a tenth of a second, so it is folded again only
    when an entry touches something that an unfolded one changed: a thousand dogs of an
    import need a few folds, not two thousand.
    """

    def __init__(self, book: Book) -> None:
        self.book = book
        self._waiting: list[Entry] = []
        self._changed: set[str] = set()

    def check(self, entry: Entry, *, now: datetime) -> None:
        """Raise `BadInput` where `entry` cannot be true after those added."""
        if self._changed & _reads(entry):
            self._fold()
        check_entry(self.book, entry, now=now)

    def add(self, entry: Entry) -> None:
        """The entry stands; later ones are checked against it too."""
        self._waiting.append(entry)
        self._changed |= _changes(entry)

    def _fold(self) -> None:
        self.book = Book.from_entries((*self.book.entries, *self._waiting))
        self._waiting.clear()
        self._changed.clear()


def _named(entry: Entry) -> set[str]:
    """Ids an entry names, its own too."""
    named = {str(getattr(entry.fact, name, "")) for name in _SUBJECTS}
    return {entry.entry, entry.supersedes, *named} - {""}


def _changes(entry: Entry) -> set[str]:
    """What later entries could find changed by it."""
    changed = _named(entry)
    if isinstance(entry.fact, f.PenDescribed):
        changed.add(entry.fact.pen)
    if isinstance(entry.fact, f.KennelDescribed):
        changed.add("zone")
    if isinstance(entry.fact, f.Struck) or entry.supersedes:
        changed.add("anything")  # what it brings back or takes away is not named in it
    return changed


def _reads(entry: Entry) -> set[str]:
    """What its checks look at."""
    pens = {str(getattr(entry.fact, "pen", "")), *getattr(entry.fact, "pens", ())}
    return _named(entry) | pens | {"zone", "anything"}
