"""Every reason why a photo is not read, in words, with what to do about it."""

from kennelward.terms import MAY_BE_A_LINE, Unreadable


def gettext_noop(text: str) -> str:
    """Mark a text for translators; it is translated where it is shown."""
    return text


REASONS: dict[str, tuple[str, str]] = {
    "empty": (
        gettext_noop("The file is empty."),
        gettext_noop("Take the photo again and send that one."),
    ),
    "not-an-image": (
        gettext_noop("This file is not a JPEG, PNG or WebP picture."),
        gettext_noop("Choose the photo itself, or save it as JPEG first."),
    ),
    "heic": (
        gettext_noop("This is a HEIC photo, and the part that opens them is not here."),
        gettext_noop(
            'Set the phone\'s camera to JPEG ("most compatible"), or have '
            "kennelward[heic] installed."
        ),
    ),
    "broken": (
        gettext_noop("The picture file is cut short or damaged."),
        gettext_noop("Send it again, or take a new photo."),
    ),
    "too-large": (
        gettext_noop("The picture is larger than any phone photo should be."),
        gettext_noop("Send the photo as the camera made it, at most 64 megapixels."),
    ),
    "too-small": (
        gettext_noop("The picture is too small to show a line."),
        gettext_noop("Send the photo in full size, not a thumbnail."),
    ),
    "too-dark": (
        gettext_noop("The photo is too dark."),
        gettext_noop("Turn to the light and take it again."),
    ),
    "too-bright": (
        gettext_noop("The photo is overexposed: faint lines are washed out."),
        gettext_noop(
            "Move out of direct light or tap on the strip to set the exposure, "
            "then take it again."
        ),
    ),
    "blank": (
        gettext_noop("There is nothing in this photo but one plain colour."),
        gettext_noop("Take the lens cap or finger away and photograph the strip."),
    ),
    "no-window": (
        gettext_noop("No strip window can be found in this photo."),
        gettext_noop(
            "Lay the strip flat so that housing and window are wholly in the "
            "picture; or mark the four corners of the window."
        ),
    ),
    "window-unsure": (
        gettext_noop(
            "The strip's window is not clear enough in this photo to be sure of "
            "its edges."
        ),
        gettext_noop(
            "Mark the four corners of the window, or take the photo again from "
            "straight above."
        ),
    ),
    "several-strips": (
        gettext_noop("More than one strip is in this photo."),
        gettext_noop(
            "Photograph each strip alone, so that no result goes to the wrong dog."
        ),
    ),
    "bad-corners": (
        gettext_noop("The four marked corners do not outline a window."),
        gettext_noop("Mark the corners one after the other around the window."),
    ),
    "too-far": (
        gettext_noop("The window is too small in this photo to show a faint line."),
        gettext_noop(
            "Go closer, until the housing fills the picture, and take it again."
        ),
    ),
    "blurred": (
        gettext_noop("The strip is blurred."),
        gettext_noop(
            "Hold the phone still, about 15 cm above the strip, and take it again."
        ),
    ),
    "shadow-or-glare": (
        gettext_noop("Shadow or glare lies on the strip."),
        gettext_noop(
            "Turn to the light, tilt the strip until the shine is gone and take "
            "it again."
        ),
    ),
    "cannot-see-faint": (
        gettext_noop(
            "No second line is seen, but this photo could not have shown a faint one."
        ),
        gettext_noop(
            "Hold the phone still, about 15 cm above the strip, and take it again."
        ),
    ),
    MAY_BE_A_LINE: (
        gettext_noop(
            "Something very faint is where the second line belongs: a line, or a mark "
            "on the strip."
        ),
        gettext_noop(
            "Look at the strip yourself and take another photo, closer and in even "
            "light. Until then treat it as a positive."
        ),
    ),
    "copied-picture": (
        gettext_noop("This looks like a photo of a screen or of a print."),
        gettext_noop("Photograph the strip itself."),
    ),
    "copied-line": (
        gettext_noop(
            "The second line has the very grain of the first, pixel by pixel: one was "
            "copied from the other."
        ),
        gettext_noop("Photograph the strip itself and send that photo unchanged."),
    ),
    "coloured-light": (
        gettext_noop(
            "What fills the window is too coloured for a strip, or the light is."
        ),
        gettext_noop(
            "Go away from a heat lamp or a coloured shade and take the photo in white "
            "light; or mark the four corners of the window."
        ),
    ),
    "empty-window": (
        gettext_noop("The window is darker than any strip: the housing may be empty."),
        gettext_noop(
            "Look whether a strip lies in it. If so, turn to the light and take the "
            "photo again."
        ),
    ),
    "direction-unsure": (
        gettext_noop(
            "One line is seen, and it is unclear which end the sample went in."
        ),
        gettext_noop(
            "Mark the sample well; one line alone is negative or a failed test, "
            "depending on that."
        ),
    ),
    "line-between": (
        gettext_noop(
            "One line is seen, between the places of the control line and the test line."
        ),
        gettext_noop(
            "Look which one it is: a test line without a control line is a failed "
            "test. Take another photo from straight above, or mark the window's corners."
        ),
    ),
    "one-line-in-a-cut": (
        gettext_noop(
            "One line is seen, and the window runs out of the picture: the "
            "other line may have been cut away."
        ),
        gettext_noop("Send the whole photo with the housing in it."),
    ),
    "grey-line": (
        gettext_noop(
            "The second line is grey, as lines are that come up while a strip dries."
        ),
        gettext_noop(
            "If the strip was read in time, take a new photo; otherwise repeat "
            "the test."
        ),
    ),
    "too-many-lines": (
        gettext_noop("More lines are seen than this kit has."),
        gettext_noop(
            "Check which kit it is and take a photo without print or reflection "
            "in the window."
        ),
    ),
}


def refuse(reason: str) -> Unreadable:
    """The refusal for `reason`, with its words."""
    says, do = REASONS[reason]
    return Unreadable(reason=reason, says=says, do=do)
