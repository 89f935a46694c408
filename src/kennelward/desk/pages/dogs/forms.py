"""Describing a dog, and the sheet that is filled in at the gate."""

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from kennelward.desk.pages.shell import labels
from kennelward.desk.pages.shell.forms import (
    EntryForm,
    WhenForm,
    choice_field,
    day_field,
    name_field,
    note_field,
)
from kennelward.desk.pages.shell.here import Here
from kennelward.desk.pages.shell.labels import choices
from kennelward.kennel import Book
from kennelward.kennel.facts import ORIGINS, PEN_KINDS, SEXES, Arrived, DogDescribed
from kennelward.litters import read_chip
from kennelward.terms import BadInput

GUMS = {
    "pink": _("pink and wet"),
    "pale": _("pale"),
    "dark red": _("dark red"),
    "dry": _("dry or sticky"),
}
STOOLS = {
    "firm": _("firm"),
    "soft": _("soft"),
    "watery": _("watery"),
    "bloody": _("with blood"),
    "not seen": _("not seen yet"),
}
APPETITES = {
    "eats well": _("eats well"),
    "eats little": _("eats little"),
    "refuses": _("refuses food"),
    "not seen": _("not seen yet"),
}


def chip_doubt(chip: str) -> str:
    """What is wrong with a chip number by ISO 11784, or empty."""
    try:
        read_chip(chip)
    except BadInput as wrong:
        return str(wrong)
    return ""


def pen_choices(book: Book) -> list[tuple[str, str | list[tuple[str, str]]]]:
    """Pens in use, grouped by kind in the order of the round; none stands chosen."""
    grouped: list[tuple[str, str | list[tuple[str, str]]]] = [
        ("", str(_("choose a pen")))
    ]
    for kind in PEN_KINDS:
        pens = sorted(
            (card for card in book.pens.values() if card.described.pen_kind == kind),
            key=lambda card: (card.described.order, card.name.casefold()),
        )
        found = [(card.pen, card.name) for card in pens if card.described.in_use]
        if found:
            grouped.append((labels.label(kind, labels.PEN_KINDS), found))
    return grouped


def dog_choices(book: Book, *, sex: str = "") -> list[tuple[str, str]]:
    """Dogs in the book by name, those not here marked; first one empty."""
    cards = sorted(book.dogs.values(), key=lambda card: card.name.casefold())
    return [("", str(_("not named")))] + [
        (card.dog, card.name if card.is_here else f"{card.name} ({_('not here')})")
        for card in cards
        if not sex or card.described.sex == sex
    ]


class DogForm(EntryForm):
    """A dog, new or corrected."""

    name = name_field(_("Name"))
    sex = forms.ChoiceField(
        label=_("Sex"), choices=choices(labels.SEXES, SEXES), widget=forms.RadioSelect
    )
    born_on = day_field(_("Born on"))
    born_on_is_guess = forms.BooleanField(label=_("The day is a guess"), required=False)
    breed = name_field(_("Breed"), required=False)
    chip = name_field(_("Chip number"), required=False, max_length=40)
    marking = name_field(_("Markings or collar"), required=False)
    is_breeding = forms.BooleanField(label=_("Used for breeding"), required=False)
    is_neutered = forms.BooleanField(label=_("Neutered"), required=False)
    origin = forms.ChoiceField(
        label=_("Where from"),
        choices=choices(labels.ORIGINS, ORIGINS),
        initial="born-here",
    )
    dam = forms.ChoiceField(label=_("Mother"), required=False)
    sire = forms.ChoiceField(label=_("Father"), required=False)
    chip_is_so = forms.BooleanField(
        label=_("I read the chip again: its number is so"), required=False
    )
    litter = forms.ChoiceField(label=_("Litter"), required=False)
    owner = name_field(_("Owner, if it is a visitor"), required=False)

    first_fields = ("name", "sex", "born_on", "born_on_is_guess", "origin")
    more_fields = (
        "breed",
        "chip",
        "marking",
        "is_breeding",
        "is_neutered",
        "litter",
        "dam",
        "sire",
        "owner",
    )

    def __init__(self, *args: Any, place: Here, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        book = place.book
        choice_field(self, "dam").choices = dog_choices(book, sex="bitch")
        choice_field(self, "sire").choices = dog_choices(book, sex="dog")
        choice_field(self, "litter").choices = [("", _("none"))] + [
            (card.litter, card.name) for card in book.litters.values()
        ]
        self.fields["born_on"].widget.attrs["max"] = place.on.isoformat()

    def clean_chip(self) -> str:
        """The number without the spaces that readers print."""
        return "".join(str(self.cleaned_data["chip"]).replace("-", "").split())

    def clean(self) -> dict[str, Any]:
        """A chip that cannot be right by ISO 11784 is asked about once."""
        said = super().clean() or {}
        chip = said.get("chip", "")
        if chip and chip != self.initial.get("chip") and not said.get("chip_is_so"):
            doubt = chip_doubt(chip)
            if doubt:
                self.add_error("chip", doubt)
        return said

    def described(self, dog: str) -> DogDescribed:
        """The dog as the form says it, under the id `dog`."""
        said = {
            name: self.cleaned_data[name]
            for name in (*self.first_fields, *self.more_fields)
        }
        return DogDescribed(dog=dog, **said)

    @property
    def first_bound(self) -> list[forms.BoundField]:
        """The fields a dog cannot do without."""
        return [self[name] for name in self.first_fields]

    @property
    def more_bound(self) -> list[forms.BoundField]:
        """The fields that can wait; the tick about a chip only where one is asked about."""
        asks = "chip" in self.errors or "chip_is_so" in self.data
        return [
            self[name]
            for field in self.more_fields
            for name in (
                (field, "chip_is_so") if field == "chip" and asks else (field,)
            )
        ]

    @property
    def has_more_errors(self) -> bool:
        """True where something that is folded away needs a look."""
        return any(name in self.errors for name in self.more_fields)


class NewDogForm(DogForm):
    """A dog of the kennel's own, with the pen it is in."""

    pen = forms.ChoiceField(label=_("Pen"))
    first_fields = ("name", "sex", "born_on", "born_on_is_guess", "origin")

    def __init__(self, *args: Any, place: Here, **kwargs: Any) -> None:
        super().__init__(*args, place=place, **kwargs)
        choice_field(self, "pen").choices = pen_choices(place.book)

    @property
    def first_bound(self) -> list[forms.BoundField]:
        """The fields a dog cannot do without, and its pen."""
        return [*super().first_bound, self["pen"]]


class ArrivalForm(WhenForm):
    """The sheet at the gate: where from, what came with the dog, what was seen."""

    pen = forms.ChoiceField(
        label=_("Into which pen"),
        help_text=_("Arrivals start apart: quarantine, or a visitor's pen."),
    )
    came_from = name_field(_("From whom, or where"), required=False)
    source = forms.ChoiceField(
        label=_("What kind of place"),
        choices=list(labels.SOURCES.items()),
        initial="unknown",
    )
    last_outside_contact_on = day_field(
        _("Last day with dogs from elsewhere"),
        required=False,
        help_text=_("The day it left, if you know no other."),
    )
    weight_kg = forms.FloatField(
        label=_("Weight in kilograms"),
        required=False,
        min_value=0.02,
        max_value=150,
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
    )
    temperature_c = forms.FloatField(
        label=_("Temperature in °C"),
        required=False,
        min_value=25,
        max_value=45,
        widget=forms.NumberInput(attrs={"step": "0.1", "inputmode": "decimal"}),
    )
    gums = forms.ChoiceField(
        label=_("Gums"),
        choices=list(GUMS.items()),
        required=False,
        widget=forms.RadioSelect,
    )
    stool = forms.ChoiceField(
        label=_("Stool"),
        choices=list(STOOLS.items()),
        required=False,
        widget=forms.RadioSelect,
    )
    appetite = forms.ChoiceField(
        label=_("Appetite"),
        choices=list(APPETITES.items()),
        required=False,
        widget=forms.RadioSelect,
    )
    vaccinated_on = day_field(_("Last vaccination, as on its card"), required=False)
    vaccines = forms.MultipleChoiceField(
        label=_("Vaccinated against"),
        choices=list(labels.VACCINES.items()),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    wormed_on = day_field(_("Last worming"), required=False)
    wormed_with = name_field(_("Wormed with what, as written"), required=False)
    has_consent = forms.BooleanField(
        label=_("Owner's written consent to testing is here"), required=False
    )
    no_contact_statement = forms.BooleanField(
        label=_("Owner's statement: no mating or contact since its laboratory test"),
        required=False,
    )
    note = note_field(_("Anything else seen"))

    gate_fields = ("pen", "when", "came_from", "source", "last_outside_contact_on")
    seen_fields = ("weight_kg", "temperature_c", "gums", "stool", "appetite", "note")
    brought_fields = (
        "vaccines",
        "vaccinated_on",
        "wormed_on",
        "wormed_with",
        "has_consent",
        "no_contact_statement",
    )

    def __init__(self, *args: Any, place: Here, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.on = place.on
        choice_field(self, "pen").choices = pen_choices(place.book)
        first = next(
            (
                card.pen
                for card in place.book.pens.values()
                if card.described.pen_kind == "quarantine" and card.described.in_use
            ),
            None,
        )
        self.fields["pen"].initial = first

    def clean(self) -> dict[str, Any]:
        """Days lie in the past; a vaccination has a day and something it is against."""
        said = super().clean() or {}
        for name in ("last_outside_contact_on", "vaccinated_on", "wormed_on"):
            found: date | None = said.get(name)
            if found and found > self.on:
                self.add_error(name, _("This day lies in the future."))
        if bool(said.get("vaccines")) != bool(said.get("vaccinated_on")):
            self.add_error(
                "vaccinated_on",
                _("A vaccination needs its day and what it is against."),
            )
        return said

    def bound(self, names: tuple[str, ...]) -> list[forms.BoundField]:
        """Some of the fields, in order."""
        return [self[name] for name in names]

    @property
    def gate(self) -> list[forms.BoundField]:
        """Where from and where to."""
        return self.bound(self.gate_fields)

    @property
    def seen(self) -> list[forms.BoundField]:
        """What was seen on the dog."""
        return self.bound(self.seen_fields)

    @property
    def brought(self) -> list[forms.BoundField]:
        """What came with it on paper."""
        return self.bound(self.brought_fields)

    def arrived(self, dog: str) -> Arrived:
        """The arrival as the sheet says it."""
        said = self.cleaned_data
        names = (
            "pen",
            "came_from",
            "source",
            "last_outside_contact_on",
            "has_consent",
            "no_contact_statement",
            "gums",
            "stool",
            "appetite",
            "temperature_c",
            "note",
        )
        return Arrived(dog=dog, **{name: said[name] for name in names})


class ImportForm(forms.Form):
    """A list of dogs as a CSV file."""

    file = forms.FileField(
        label=_("The file"),
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,text/csv"}),
        help_text=_("Nothing is written before you have seen the report."),
    )
