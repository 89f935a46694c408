"""What every form about one dog shares."""

from datetime import date, datetime
from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext_lazy as _

from kennelward.desk.pages.shell.forms import WhenForm, day_field
from kennelward.desk.pages.shell.here import Here
from kennelward.desk.pages.shell.roles import ROLES
from kennelward.kennel.facts import Fact


class DogAction(WhenForm):
    """A form about one dog. Subclasses say which fact comes of it."""

    do_not_call_in_templates: ClassVar[bool] = True  # a class is callable

    code: ClassVar[str]
    icon: ClassVar[str]
    word: ClassVar[Any]
    lead: ClassVar[Any] = ""
    roles: ClassVar[tuple[str, ...]] = ROLES
    cautions: ClassVar[tuple[str, ...]] = ()  # handbook caution ids
    only_sex: ClassVar[str] = ""

    def __init__(self, *args: Any, dog: str, place: Here, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.dog = dog
        self.place = place
        self.order_fields([name for name in self.fields if name != "when"] + ["when"])
        self.prepare()

    def prepare(self) -> None:
        """Fill choices from the book."""

    def facts(self) -> tuple[Fact, ...]:
        """The facts the filled-in form says."""
        raise NotImplementedError

    def happened_at(self) -> datetime | None:
        """When it happened; None for now."""
        found: datetime | None = self.cleaned_data.get("when")
        return found


class DayAction(DogAction):
    """A form that asks the day, not the minute."""

    when = None  # type: ignore[assignment]
    day = day_field(_("Day"))

    def prepare(self) -> None:
        """Today unless said otherwise; no day to come."""
        self.fields["day"].initial = self.place.on
        self.fields["day"].widget.attrs["max"] = self.place.on.isoformat()

    def clean_day(self) -> date:
        """A day that has come."""
        day: date = self.cleaned_data["day"]
        if day > self.place.on:
            raise forms.ValidationError(_("This day lies in the future."))
        return day

    def happened_at(self) -> datetime | None:
        """Now for today, else noon of that day."""
        day: date = self.cleaned_data["day"]
        return None if day == self.place.on else self.place.noon_of(day)
