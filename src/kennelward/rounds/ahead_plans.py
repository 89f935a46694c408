"""What is to come in the kennel, carried on from the year behind; each said in words."""

from collections import Counter
from datetime import timedelta

from kennelward.kennel import DogCard
from kennelward.kennel import facts as f
from kennelward.rounds.ahead_view import View, uid_of
from kennelward.rounds.outbreak_words import amount
from kennelward.rounds.pregnancy import pregnancy_plan
from kennelward.spread.kennel_now import (
    YOUNG_DAYS,
    ComingDog,
    ComingLitter,
    PlannedMating,
    ResidentNow,
    YardUse,
)
from kennelward.spread.model import NEVER
from kennelward.terms import Phrase

YEAR = 365
PUPPIES_LEAVE_DAYS = 63  # nine weeks; common practice, no source
VISIT_DAYS = 4.0  # a visiting dog stays; common practice, no source
USUAL_PUPPIES = 6  # of a litter, where the book has none; common practice, no source
CLEAN_EVERY_DAYS = 7.0  # where the book has too few; common practice, no source
LOOK_BACK_DAYS = 28
VACCINE_AGES = (56.0, 84.0, 112.0)  # days; common practice, no source
PRODUCT_WORDS = {
    "bleach": "bleach",
    "peroxide": "peroxide",
    "peroxymonosulfate": "peroxide",
    "quat": "quat",
    "steam": "steam",
    "soap": "soap",
    "detergent": "soap",
}


def coming(view: View) -> tuple[ComingDog, ...]:
    since = view.on - timedelta(days=YEAR)
    came: dict[bool, list[f.Arrived]] = {False: [], True: []}
    for entry in view.book.of(f.Arrived):
        fact = entry.fact
        if not isinstance(fact, f.Arrived) or fact.dog not in view.book.dogs:
            continue
        if since <= view.book.happened_on(entry) <= view.on:
            came[view.book.dogs[fact.dog].is_visiting].append(fact)
    first = view.book.entries[0].happened_at if view.book.entries else None
    span = min(YEAR, (view.on - view.book.day_of(first)).days) if first else YEAR
    asked = {
        False: view.settings.arrivals_a_year,
        True: view.settings.visits_a_year,
    }
    found: list[ComingDog] = []
    for is_visitor, past in came.items():
        given = asked[is_visitor]
        yearly = given if given is not None else round(len(past) * YEAR / max(span, 30))
        found += _evenly(view, yearly, is_visitor=is_visitor)
        what = (
            Phrase(
                "Visiting dogs come {n} times a year, each for {days} days.",
                {"n": yearly, "days": int(VISIT_DAYS)},
            )
            if is_visitor
            else Phrase("New dogs come {n} times a year.", {"n": yearly})
        )
        view.assume(what)
    return tuple(found)


def _evenly(view: View, yearly: int, *, is_visitor: bool) -> list[ComingDog]:
    """So many a year, evenly spaced, the first after half a space."""
    if yearly == 0:
        return []
    space = YEAR / yearly
    word = "visit" if is_visitor else "arrival"
    found = []
    day, number = space / 2, 0
    while day < view.settings.days:
        found.append(
            ComingDog(
                uid=uid_of(f"{word} {number}"),
                on=float(int(day)),
                home=_home_for(view, is_visitor=is_visitor, number=number),
                age_days=800.0 if is_visitor else 63.0,
                is_visitor=is_visitor,
                is_vaccinated=is_visitor,
                stays_days=VISIT_DAYS if is_visitor else NEVER,
                vaccinations=()
                if is_visitor
                else tuple(int(day) + age - 63.0 for age in VACCINE_AGES),
            )
        )
        day, number = day + space, number + 1
    return found


def _home_for(view: View, *, is_visitor: bool, number: int) -> int:
    wanted = ("visitor",) if is_visitor else ("adults", "litter")
    pens = [
        view.place_of[pen.pen] for pen in view.pens if pen.described.pen_kind in wanted
    ]
    return pens[number % len(pens)] if pens else 0


def litters(view: View, residents: tuple[ResidentNow, ...]) -> tuple[ComingLitter, ...]:
    homes = {dog.uid: dog.home for dog in residents}
    sizes = [card.born_alive for card in view.book.litters.values()]
    puppies = round(sum(sizes) / len(sizes)) if sizes else USUAL_PUPPIES
    found: list[ComingLitter] = []
    for card in view.book.dogs_here:
        if card.described.sex != "bitch":
            continue
        plan = pregnancy_plan(
            book=view.book, handbook=view.handbook, dam=card.dog, on=view.on
        )
        if plan is None:
            continue
        due = max(1.0, view.day(plan.due.median))
        if due < view.settings.days:
            found.append(
                ComingLitter(
                    dam=uid_of(card.dog),
                    on=due,
                    place=homes[uid_of(card.dog)],
                    puppies=max(1, puppies),
                    litter=len(view.book.litters) + len(found),
                    leaves_after_days=PUPPIES_LEAVE_DAYS,
                    vaccinated_after_days=VACCINE_AGES,
                )
            )
    view.assume(
        Phrase(
            "Litters due: {n}, of {puppies} puppies each. Puppies leave at "
            "{weeks} weeks.",
            {
                "n": len(found),
                "puppies": max(1, puppies),
                "weeks": PUPPIES_LEAVE_DAYS // 7,
            },
        )
    )
    return tuple(found)


def assume_vaccines(view: View) -> None:
    """Say at what ages the young are taken to be vaccinated, where a vaccine protects."""
    if "spread_vaccine_takes_days" in view.handbook.infections[view.infection].values:
        *ages, last = [str(round(days / 7)) for days in VACCINE_AGES]
        view.assume(
            Phrase(
                "Young dogs are vaccinated against it at {ages} and {last} weeks, beside "
                "what the book holds; a dog bought at nine weeks had its first already.",
                {"ages": ", ".join(ages), "last": last},
            )
        )


def vaccinations(view: View, card: DogCard) -> tuple[float, ...]:
    """Days of a young dog's vaccinations against it: written down, then the usual ones.

    A grown dog's are those of the book alone.
    """
    days = []
    for entry in view.book.about(card.dog):
        fact = entry.fact
        if isinstance(fact, f.Vaccinated) and view.infection in fact.against:
            days.append(view.day(view.book.happened_on(entry)))
    age = card.age_days(view.on)
    if age < YOUNG_DAYS:
        days += [at - age for at in VACCINE_AGES if at > age]
    return tuple(sorted(days))


def yards(view: View, residents: tuple[ResidentNow, ...]) -> tuple[YardUse, ...]:
    yards = [
        view.place_of[pen.pen] for pen in view.pens if pen.described.pen_kind == "yard"
    ]
    if not yards or not view.settings.shares_yards:
        return ()
    grown = {
        view.place_of[pen.pen]: turn
        for turn, pen in enumerate(
            pen for pen in view.pens if pen.described.pen_kind in ("adults", "pregnant")
        )
    }
    view.assume(
        Phrase("Grown dogs are let into the yard once a day, one pen after the other.")
    )
    return tuple(
        YardUse(
            dog=dog.uid,
            yard=yards[grown[dog.home] % len(yards)],
            day=0,
            every=1,
            turn=grown[dog.home] // len(yards),
        )
        for dog in residents
        if dog.home in grown
    )


def matings(
    view: View, residents: tuple[ResidentNow, ...]
) -> tuple[PlannedMating, ...]:
    """Matings of the past year here, a year on."""
    here = {dog.uid for dog in residents}
    found = []
    for entry in view.book.of(f.Mated):
        fact = entry.fact
        if not isinstance(fact, f.Mated) or not fact.sire or fact.took_place_away:
            continue
        day = view.day(view.book.happened_on(entry))
        pair = (uid_of(fact.dam), uid_of(fact.sire))
        while day < 0:
            day += YEAR
        if day < view.settings.days and set(pair) <= here:
            found.append(PlannedMating(dam=pair[0], sire=pair[1], on=day))
    if found:
        view.assume(
            Phrase(
                "The past year's matings between dogs here come again a year on: {n}.",
                {"n": len(found)},
            )
        )
    return tuple(found)


def clean_every(view: View) -> float:
    if view.settings.clean_every_days is not None:
        every = view.settings.clean_every_days
    else:
        pens = Counter(fact.pen for fact in _cleaned(view))
        many = [LOOK_BACK_DAYS / n for n in pens.values() if n > 1]
        enough = len(many) * 2 >= len(view.pens)
        every = sum(many) / len(many) if enough else CLEAN_EVERY_DAYS
    view.assume(
        Phrase(
            "Every pen is cleaned every {days} days, with: {product}.",
            {"days": amount(every), "product": product(view)},
        )
    )
    return every


def product(view: View) -> str:
    if view.settings.product:
        return view.settings.product
    words = Counter(
        PRODUCT_WORDS[word]
        for fact in _cleaned(view)
        for word in fact.product.casefold().split()
        if word in PRODUCT_WORDS
    )
    pens = {fact.pen for fact in _cleaned(view)}
    if len(pens) * 2 < len(view.pens):
        return "soap"  # what a few pens got is not what every pen gets
    return max(sorted(words), key=lambda word: words[word]) if words else "soap"


def _cleaned(view: View) -> list[f.Cleaned]:
    since = view.on - timedelta(days=LOOK_BACK_DAYS)
    return [
        entry.fact
        for entry in view.book.of(f.Cleaned)
        if isinstance(entry.fact, f.Cleaned)
        and since <= view.book.happened_on(entry) <= view.on
    ]


def room(view: View) -> int:
    if view.settings.isolation_room is not None:
        return view.settings.isolation_room
    pens = [p for p in view.pens if p.described.pen_kind == "isolation"]
    values = view.handbook.infections[view.infection].values
    if "spread_shedding_days" not in values:  # who is apart stays apart
        pens = [pen for pen in pens if not pen.dogs_now]
    view.assume(
        Phrase(
            "Isolation pens that can be used: {n}; each takes one dog.",
            {"n": len(pens)},
        )
    )
    return len(pens)
