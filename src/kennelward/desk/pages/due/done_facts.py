"""What saying "done" writes into the book: the word itself, and what it stands for."""

from kennelward.kennel import Book
from kennelward.kennel import facts as f
from kennelward.programme import Action


def facts_of_done(action: Action, *, note: str, book: Book) -> list[f.Fact]:
    """`DueDone`, and beside it the fact that was made true by doing it."""
    word = f.DueDone(key=action.key, note=note)
    return [word, *_beside(action, note=note, book=book)]


def _beside(action: Action, *, note: str, book: Book) -> list[f.Fact]:
    """A call, a bath, a cleaning: only where the action says exactly which.

    A litter is kept apart as one: its dam and every puppy that is here.
    """
    subject, kind = action.subject, action.subject_kind
    match action.what, kind:
        case "call-vet", "dog":
            return [f.VetCalled(dog=subject, note=note)]
        case "bath", "dog":
            return [f.Bathed(dog=subject, note=note)]
        case "clean", "pen":
            return [f.Cleaned(pen=subject, note=note)]
        case "keep-apart", "dog":
            return _kept_apart((subject,), because=str(action.because), book=book)
        case "keep-apart", "litter" if subject in book.litters:
            litter = book.litters[subject]
            together = (litter.dam, *litter.dogs)
            return _kept_apart(together, because=str(action.because), book=book)
    return []


def _kept_apart(dogs: tuple[str, ...], *, because: str, book: Book) -> list[f.Fact]:
    cards = [book.dogs[dog] for dog in dogs if dog in book.dogs]
    return [
        f.KeptApart(dog=card.dog, why=because)
        for card in cards
        if card.is_here and card.apart is None
    ]
