"""How big a dog is, or will be: from its own and its parents' weights."""

from statistics import median

from kennelward.kennel import Book
from kennelward.kennel import facts as f
from kennelward.litters import Expected, LitterNumbers

GROWN_DAYS = 365


def grown_weight_g(*, book: Book, dog: str) -> float | None:
    """The dog's usual weight once grown: the median of its weights after a year."""
    card = book.dogs.get(dog)
    if card is None:
        return None
    weights = [
        entry.fact.weight_g
        for entry in book.about(dog)
        if isinstance(entry.fact, f.Weighed)
        and entry.fact.dog == dog
        and card.age_days(book.happened_on(entry)) >= GROWN_DAYS
    ]
    return median(weights) if weights else None


def size_of(*, book: Book, dog: str, numbers: LitterNumbers) -> str:
    """Size class of a grown dog; empty where it was never weighed."""
    grown = grown_weight_g(book=book, dog=dog)
    return numbers.birth_weights.size_of(grown) if grown is not None else ""


def expected_of(*, book: Book, dam: str, sire: str, numbers: LitterNumbers) -> Expected:
    """What to expect of a litter's puppies from its parents."""
    grown = [
        weight
        for weight in (grown_weight_g(book=book, dog=each) for each in (dam, sire))
        if weight is not None
    ]
    grown_g = sum(grown) / len(grown) if grown else None
    size = numbers.birth_weights.size_of(grown_g) if grown_g is not None else ""
    breed = book.dogs[dam].described.breed if dam in book.dogs else ""
    is_known = bool(size) or numbers.birth_weights.breed_named(breed) is not None
    return Expected(
        birth_g=numbers.birth_weights.expected_birth_g(breed=breed, size=size)
        if is_known
        else None,
        grown_g=grown_g,
        size=size,
        breed=breed,
    )
