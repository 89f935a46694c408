"""What is typed at the bench: sample and lot, a photo, a reason for dropping a strip."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from kennelward.desk.pages.shell import labels
from kennelward.desk.pages.shell.forms import EntryForm, name_field
from kennelward.handbook import Kit
from kennelward.kennel import Book, LotCard

LARGEST_PHOTO = 30 * 1024 * 1024  # bytes
WELLS = {  # where the sample well is in the photo, as shares of width and height
    "left": (0.0, 0.5),
    "right": (1.0, 0.5),
    "top": (0.5, 0.0),
    "bottom": (0.5, 1.0),
}
NO_LOT = "none"
CORNERS = 4


class StartForm(EntryForm):
    """Everything that must be true at the moment the drops go on."""

    sample = forms.ChoiceField(
        label=gettext_lazy("Which sample"), widget=forms.RadioSelect
    )
    lot = forms.ChoiceField(label=gettext_lazy("Which box"), widget=forms.RadioSelect)
    date_looked_at = forms.BooleanField(
        label=gettext_lazy("I looked: the printed date has not passed"),
        required=False,
    )
    drawn_by_trained = forms.BooleanField(
        label=gettext_lazy("The blood was drawn by the vet or by someone trained"),
        required=False,
    )

    def __init__(
        self, *args: Any, book: Book, kit: Kit, on: date, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.book, self.kit, self.on = book, kit, on
        leaflet = book.leaflets.get(kit.kit)
        self.allowed = leaflet.samples if leaflet is not None else kit.samples
        samples = tuple(dict.fromkeys((*self.allowed, *kit.samples)))
        self.fields["sample"].choices = labels.choices(labels.SAMPLES, samples)  # type: ignore[attr-defined]
        self.fields["lot"].choices = self.lot_choices()  # type: ignore[attr-defined]
        if len(self.allowed) == 1:
            self.fields["sample"].initial = self.allowed[0]
        if not kit.is_for_vet_or_trained:
            del self.fields["drawn_by_trained"]

    def lots(self) -> list[LotCard]:
        """Boxes of this kit with strips in them, first to expire first."""
        found = [
            lot
            for lot in self.book.lots.values()
            if lot.kit == self.kit.kit and lot.count_left > 0
        ]
        return sorted(found, key=lambda lot: (lot.is_expired(self.on), lot.expires_on))

    def lot_choices(self) -> list[tuple[str, str]]:
        """The boxes on the shelf, and "not on the shelf list"."""
        found = []
        for lot in self.lots():
            words = _("%(lot)s, use by %(day)s, %(left)s left") % {
                "lot": lot.lot_code,
                "day": date_format(lot.expires_on, "j M Y"),
                "left": lot.count_left,
            }
            if lot.is_expired(self.on):
                words = _("EXPIRED: %(words)s") % {"words": words}
            found.append((lot.lot, words))
        if found:
            self.fields["lot"].initial = found[0][0]
        else:
            self.fields["lot"].initial = NO_LOT
        return [*found, (NO_LOT, _("a box that is not on the shelf list"))]

    def clean_sample(self) -> str:
        """Only what the leaflet allows."""
        sample: str = self.cleaned_data["sample"]
        if sample not in self.allowed:
            raise ValidationError(
                _("Wrong sample: by the leaflet this kit takes %(samples)s.")
                % {"samples": ", ".join(labels.label(s) for s in self.allowed)}
            )
        return sample

    def clean_lot(self) -> str:
        """A box whose printed date has not passed; empty for one not on the list."""
        lot: str = self.cleaned_data["lot"]
        if lot == NO_LOT:
            return ""
        if self.book.lots[lot].is_expired(self.on):
            raise ValidationError(
                _(
                    "This box expired on %(day)s: its result would not count. Take another."
                )
                % {"day": date_format(self.book.lots[lot].expires_on, "j M Y")}
            )
        return lot

    def clean(self) -> dict[str, Any]:
        """A box outside the list needs a look at its date; blood a trained hand."""
        said = super().clean() or self.cleaned_data
        if said.get("lot") == "" and not said.get("date_looked_at"):
            self.add_error(
                "date_looked_at",
                _("Look at the printed date. An expired strip does not count."),
            )
        if "drawn_by_trained" in self.fields and not said.get("drawn_by_trained"):
            self.add_error(
                "drawn_by_trained",
                _("Blood is drawn by the vet or someone trained, and by nobody else."),
            )
        return said


class PhotoForm(EntryForm):
    """A photo of the strip; when the camera took it, if the page knows."""

    photo = forms.FileField(
        label=gettext_lazy("Photo of the strip"),
        allow_empty_file=True,  # answered in our own words, below
        widget=forms.FileInput(attrs={"accept": "image/*", "capture": "environment"}),
        error_messages={"required": gettext_lazy("Choose or take a photo first.")},
    )
    taken = forms.CharField(widget=forms.HiddenInput, required=False, max_length=40)

    def clean_photo(self) -> bytes:
        """The bytes of a file that is neither empty nor beyond the largest."""
        file = self.cleaned_data["photo"]
        if not file.size:
            raise ValidationError(_("This photo is empty. Take it again."))
        if file.size > LARGEST_PHOTO:
            raise ValidationError(_("This photo is too large; 30 MB is the most."))
        data: bytes = file.read()
        return data

    def taken_between(self, first: datetime, last: datetime) -> datetime | None:
        """When the photo was taken, by the phone; None unless between these moments."""
        try:
            taken = datetime.fromtimestamp(
                float(self.cleaned_data["taken"]) / 1000, UTC
            )
        except (ValueError, OverflowError, OSError):
            return None
        return taken if first <= taken <= last + timedelta(seconds=1) else None


class RereadForm(EntryForm):
    """Help for the reader on a photo it has: the well's side, or the window's corners."""

    well = forms.ChoiceField(
        choices=[("", "")] + [(side, side) for side in WELLS], required=False
    )
    well_at = forms.CharField(required=False, max_length=40)
    corners = forms.CharField(required=False, max_length=200)

    def clean_well_at(self) -> tuple[float, float] | None:
        """Where the well was tapped, as shares of width and height; None: nowhere."""
        text: str = self.cleaned_data["well_at"]
        if not text:
            return None
        try:
            x, y = (float(part) for part in text.split(","))
        except ValueError as error:
            raise ValidationError(_("Tap the well again.")) from error
        if not (0 <= x <= 1 and 0 <= y <= 1):
            raise ValidationError(_("Tap the well again."))
        return x, y

    def clean_corners(self) -> tuple[tuple[float, float], ...]:
        """Four points as shares of width and height, one after the other."""
        text: str = self.cleaned_data["corners"]
        if not text:
            return ()
        try:
            points = tuple(
                (float(x), float(y))
                for x, y in (pair.split(",") for pair in text.split(";"))
            )
        except ValueError as error:
            raise ValidationError(_("Mark the four corners again.")) from error
        inside = all(0 <= x <= 1 and 0 <= y <= 1 for x, y in points)
        if len(points) != CORNERS or not inside:
            raise ValidationError(_("Mark the four corners again."))
        return points

    def clean(self) -> dict[str, Any]:
        """One help at least."""
        said = super().clean() or self.cleaned_data
        if said.get("well"):
            said["well_at"] = WELLS[said["well"]]
        if not said.get("well_at") and not said.get("corners"):
            raise ValidationError(_("Say where the well is, or mark the four corners."))
        return said


class DropForm(EntryForm):
    """Why a strip came to nothing."""

    why = name_field(gettext_lazy("Why"))
