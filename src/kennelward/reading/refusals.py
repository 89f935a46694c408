"""Every reason why a photo is not read, in words, with what to do about it."""

from kennelward.terms import Unreadable

_CLOSER = "Hold the phone still, about 15 cm above the strip, and take it again."

REASONS: dict[str, tuple[str, str]] = {
    "empty": ("The file is empty.", "Take the photo again and send that one."),
    "not-an-image": (
        "This file is not a JPEG, PNG or WebP picture.",
        "Choose the photo itself, or save it as JPEG first.",
    ),
    "broken": (
        "The picture file is cut short or damaged.",
        "Send it again, or take a new photo.",
    ),
    "too-large": (
        "The picture is larger than any phone photo should be.",
        "Send the photo as the camera made it, at most 64 megapixels.",
    ),
    "too-small": (
        "The picture is too small to show a line.",
        "Send the photo in full size, not a thumbnail.",
    ),
    "too-dark": ("The photo is too dark.", "Turn to the light and take it again."),
    "too-bright": (
        "The photo is overexposed: faint lines are washed out.",
        "Move out of direct light or tap on the strip to set the exposure, then take "
        "it again.",
    ),
    "blank": (
        "There is nothing in this photo but one plain colour.",
        "Take the lens cap or finger away and photograph the strip.",
    ),
    "no-window": (
        "No strip window can be found in this photo.",
        "Lay the strip flat so that housing and window are wholly in the picture; or "
        "mark the four corners of the window.",
    ),
    "several-strips": (
        "More than one strip is in this photo.",
        "Photograph each strip alone, so that no result goes to the wrong dog.",
    ),
    "bad-corners": (
        "The four marked corners do not outline a window.",
        "Mark the corners one after the other around the window.",
    ),
    "too-far": (
        "The window is too small in this photo to show a faint line.",
        "Go closer, until the housing fills the picture, and take it again.",
    ),
    "blurred": ("The strip is blurred.", _CLOSER),
    "shadow-or-glare": (
        "Shadow or glare lies on the strip.",
        "Turn to the light, tilt the strip until the shine is gone and take it again.",
    ),
    "cannot-see-faint": (
        "No second line is seen, but this photo could not have shown a faint one.",
        _CLOSER,
    ),
    "direction-unsure": (
        "One line is seen, and it is unclear which end the sample went in.",
        "Mark the sample well; one line alone is negative or a failed test, "
        "depending on that.",
    ),
    "one-line-in-a-cut": (
        "One line is seen in this cut-out, and the other may have been cut away.",
        "Send the whole photo with the housing in it, or mark the four corners.",
    ),
    "grey-line": (
        "The second line is grey, as lines are that come up while a strip dries.",
        "If the strip was read in time, take a new photo; otherwise repeat the test.",
    ),
    "too-many-lines": (
        "More lines are seen than this kit has.",
        "Check which kit it is and take a photo without print or reflection in the "
        "window.",
    ),
}


def refuse(reason: str) -> Unreadable:
    """The refusal for `reason`, with its words."""
    says, do = REASONS[reason]
    return Unreadable(reason=reason, says=says, do=do)
