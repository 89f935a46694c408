"""What saying "done" writes into the book: the word itself, and what it stands for."""

from kennelward.kennel import Book
from kennelward.kennel import facts as f
from kennelward.programme import Action


def facts_of_done(action: Action, *, note: str, book: Book) -> list[f.Fact]:
    """`DueDone`, and beside it the fact that was made true by doing it."""
    word = f.DueDone(key=action.key, note=note)
    beside = _beside(action, note=note, book=book)
    return [word] if beside is None else [word, beside]


def _beside(action: Action, *, note: str, book: Book) -> f.Fact | None:
    """A move, a bath, a cleaning, a call: only where the action says exactly which."""
    subject, kind = action.subject, action.subject_kind
    match action.what, kind:
        case "call-vet", "dog":
            return f.VetCalled(dog=subject, note=note)
        case "bath", "dog":
            return f.Bathed(dog=subject, note=note)
        case "clean", "pen":
            return f.Cleaned(pen=subject, note=note)
        case "keep-apart", "dog" if book.dogs[subject].apart is None:
            return f.KeptApart(dog=subject, why=str(action.because))
    return None
