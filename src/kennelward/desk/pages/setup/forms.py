"""Forms of Set-up."""

from typing import Any
from zoneinfo import available_timezones

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.utils.translation import gettext_lazy as _

from kennelward.desk.pages.shell import labels
from kennelward.desk.pages.shell.forms import EntryForm, cents, choice_field, name_field
from kennelward.desk.pages.shell.roles import HAND, ROLES
from kennelward.kennel.facts import KennelDescribed, LeafletConfirmed

CURRENCY_LETTERS = 3
PHONE = {"type": "tel", "inputmode": "tel", "autocomplete": "off"}
MONEY = {"step": "0.01", "inputmode": "decimal"}


def zones() -> list[tuple[str, str]]:
    """Time zones a person might live in, UTC first."""
    names = sorted(
        name
        for name in available_timezones()
        if "/" in name and not name.startswith(("Etc/", "posix/", "right/", "SystemV/"))
    )
    return [("UTC", "UTC")] + [(name, name.replace("_", " ")) for name in names]


class KennelForm(EntryForm):
    """The kennel's name, and whom to call."""

    name = name_field(_("Name of the kennel"))
    vet_name = name_field(_("Your vet"), required=False)
    vet_phone = name_field(
        _("Vet's phone"),
        required=False,
        max_length=40,
        widget=forms.TextInput(attrs=PHONE),
        help_text=_("Red screens offer it as one tap."),
    )
    out_of_hours_phone = name_field(
        _("Out-of-hours phone"),
        required=False,
        max_length=40,
        widget=forms.TextInput(attrs=PHONE),
    )
    country = name_field(
        _("Country"),
        required=False,
        max_length=80,
        help_text=_("What must be reported is the law there; your vet knows it."),
    )
    time_zone = forms.ChoiceField(label=_("Time zone"), initial="UTC")
    currency = forms.CharField(
        label=_("Currency, three letters"),
        initial="EUR",
        min_length=CURRENCY_LETTERS,
        max_length=CURRENCY_LETTERS,
    )
    clinic_visit = forms.DecimalField(
        label=_("What a clinic visit costs you"),
        required=False,
        min_value=0,
        max_value=1_000_000,
        decimal_places=2,
        widget=forms.NumberInput(attrs=MONEY),
    )
    laboratory_test = forms.DecimalField(
        label=_("What a laboratory test costs you"),
        required=False,
        min_value=0,
        max_value=1_000_000,
        decimal_places=2,
        widget=forms.NumberInput(attrs=MONEY),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choice_field(self, "time_zone").choices = zones()

    def clean_currency(self) -> str:
        """Three letters, as money is written."""
        said: str = self.cleaned_data["currency"].upper()
        if not said.isalpha():
            raise forms.ValidationError(_("Three letters, such as EUR."))
        return said

    def described(self) -> KennelDescribed:
        """The kennel as the form says it."""
        said = self.cleaned_data
        names = (
            "name",
            "vet_name",
            "vet_phone",
            "out_of_hours_phone",
            "country",
            "time_zone",
            "currency",
        )
        return KennelDescribed(
            **{name: said[name] for name in names},
            clinic_visit_cents=cents(said["clinic_visit"]),
            laboratory_test_cents=cents(said["laboratory_test"]),
        )


def known_of(facts: KennelDescribed) -> dict[str, Any]:
    """A kennel's description as the form's starting values."""
    return {
        "name": facts.name,
        "vet_name": facts.vet_name,
        "vet_phone": facts.vet_phone,
        "out_of_hours_phone": facts.out_of_hours_phone,
        "country": facts.country,
        "time_zone": facts.time_zone,
        "currency": facts.currency,
        "clinic_visit": facts.clinic_visit_cents / 100 or None,
        "laboratory_test": facts.laboratory_test_cents / 100 or None,
    }


def password_field(label: Any, **kwargs: Any) -> forms.CharField:
    """A new password."""
    return forms.CharField(
        label=label,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        **kwargs,
    )


def username_field() -> forms.CharField:
    """A name to log in with."""
    return name_field(
        _("Name to log in with"),
        max_length=60,
        widget=forms.TextInput(
            attrs={"autocomplete": "username", "autocapitalize": "none"}
        ),
    )


class FirstForm(KennelForm):
    """The very first page: the owner and the kennel."""

    username = username_field()
    password = password_field(_("Password"))

    you_fields = ("username", "password")
    first_fields = ("name", "vet_name", "vet_phone", "out_of_hours_phone", "time_zone")
    more_fields = ("country", "currency", "clinic_visit", "laboratory_test")

    def clean_password(self) -> str:
        """A password that is not trivially guessed."""
        password: str = self.cleaned_data["password"]
        validate_password(password)
        return password

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["time_zone"].widget.attrs["data-guess-zone"] = "yes"

    def bound(self, names: tuple[str, ...]) -> list[forms.BoundField]:
        """Some of the fields, in order."""
        return [self[name] for name in names]

    @property
    def you(self) -> list[forms.BoundField]:
        """Who is the owner."""
        return self.bound(self.you_fields)

    @property
    def first(self) -> list[forms.BoundField]:
        """The kennel and whom to call."""
        return self.bound(self.first_fields)

    @property
    def more(self) -> list[forms.BoundField]:
        """What can wait."""
        return self.bound(self.more_fields)


class PersonForm(forms.Form):
    """Someone who works here."""

    username = username_field()
    full_name = name_field(
        _("Name in the book"), help_text=_("Stands beside every entry."), required=False
    )
    role = forms.ChoiceField(
        label=_("Role"),
        choices=[(role, labels.ROLES[role]) for role in ROLES],
        initial=HAND,
        widget=forms.RadioSelect,
    )
    password = password_field(_("First password"))

    def clean_password(self) -> str:
        """A password that is not trivially guessed."""
        password: str = self.cleaned_data["password"]
        validate_password(password)
        return password


class ChangePersonForm(forms.Form):
    """Another role, another password, or no longer here."""

    role = forms.ChoiceField(
        label=_("Role"),
        choices=[(role, labels.ROLES[role]) for role in ROLES],
        widget=forms.RadioSelect,
    )
    is_active = forms.BooleanField(label=_("May log in"), required=False)
    password = password_field(
        _("New password"), required=False, help_text=_("Empty keeps the old one.")
    )

    def clean_password(self) -> str:
        """A password that is not trivially guessed, or none."""
        password: str = self.cleaned_data["password"]
        if password:
            validate_password(password)
        return password


class LeafletForm(EntryForm):
    """What the leaflet in the box says. Nothing is filled in: it must be read there."""

    drops = forms.IntegerField(
        label=_("Drops onto the strip"),
        min_value=1,
        max_value=20,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
    )
    read_from_minutes = forms.FloatField(
        label=_("Read from, minutes after the drops"), min_value=1, max_value=120
    )
    read_until_minutes = forms.FloatField(
        label=_("Read until, minutes after the drops"), min_value=1, max_value=240
    )
    storage_low_c = forms.FloatField(
        label=_("Keep at, from °C"), min_value=-30, max_value=60
    )
    storage_high_c = forms.FloatField(
        label=_("Keep at, to °C"), min_value=-30, max_value=60
    )
    samples = forms.MultipleChoiceField(
        label=_("Samples it takes"), widget=forms.CheckboxSelectMultiple
    )
    positive_may_be_called_early = forms.BooleanField(
        label=_("It says a positive may be read before that, once both lines show"),
        required=False,
    )

    def __init__(self, *args: Any, kit: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kit = kit
        choice_field(self, "samples").choices = [
            (name, labels.label(name, labels.SAMPLES)) for name in samples_of(kit)
        ]
        for name in ("read_from_minutes", "read_until_minutes"):
            self.fields[name].widget.attrs.update(step="any", inputmode="decimal")

    def clean(self) -> dict[str, Any]:
        """Windows do not end before they begin."""
        said = super().clean() or {}
        first, last = said.get("read_from_minutes"), said.get("read_until_minutes")
        if first and last and last < first:
            self.add_error(
                "read_until_minutes", _("This lies before the first minute.")
            )
        low, high = said.get("storage_low_c"), said.get("storage_high_c")
        if low is not None and high is not None and high < low:
            self.add_error("storage_high_c", _("This is colder than the lower end."))
        return said

    def confirmed(self) -> LeafletConfirmed:
        """The leaflet as typed."""
        said = dict(self.cleaned_data)
        said.pop("entry")
        return LeafletConfirmed(
            kit=self.kit.kit, **said | {"samples": tuple(said["samples"])}
        )


def samples_of(kit: Any) -> tuple[str, ...]:
    """Samples that strips of this kind may take; the leaflet of yours says which."""
    return tuple(kit.samples)
