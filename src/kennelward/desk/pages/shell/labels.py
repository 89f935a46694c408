"""The words a person reads for the codes that entries and the handbook use.

A code without words here is shown with its hyphens as spaces, so a new kit or sign
never breaks a page.
"""

from collections.abc import Mapping

from django.utils.translation import gettext_lazy as _

SEXES = {"bitch": _("bitch"), "dog": _("male")}
PEN_KINDS = {
    "whelping": _("whelping box"),
    "litter": _("litter pen"),
    "pregnant": _("pregnant bitches"),
    "adults": _("adults"),
    "yard": _("yard"),
    "visitor": _("visitors"),
    "quarantine": _("quarantine"),
    "isolation": _("isolation"),
}
ORIGINS = {
    "born-here": _("born here"),
    "bought": _("bought"),
    "imported": _("imported"),
    "rescued": _("rescued"),
    "returned": _("came back"),
    "visiting": _("visiting"),
}
SOURCES = {
    "home": _("a private home"),
    "breeder": _("another breeder"),
    "commercial": _("a dealer or shop"),
    "shelter": _("a shelter"),
    "imported": _("another country"),
    "unknown": _("not known"),
}
SIGNS = {
    "soft-stool": _("soft stool"),
    "diarrhoea": _("diarrhoea"),
    "bloody-stool": _("blood in stool"),
    "vomiting": _("vomiting"),
    "off-food": _("off food"),
    "listless": _("listless"),
    "cough": _("cough"),
    "discharge": _("discharge"),
    "fever": _("fever"),
    "scrotal-swelling": _("swollen scrotum"),
    "back-pain": _("back pain"),
    "retching-swollen-belly": _("retching, swollen belly"),
    "not-gaining": _("not gaining weight"),
}
DANGERS = {
    "dull": _("dull, hard to rouse"),
    "cold": _("cold to the touch"),
    "bleeding": _("bleeding"),
    "vomiting-again": _("vomiting again and again"),
    "not-eating": _("not eating or not drinking"),
    "retching-swollen-belly": _("retching, swollen belly"),
    "ill-after-season": _("dull or vomiting after season"),
    "green-discharge": _("green discharge before the first puppy"),
}
MATING_METHODS = {
    "natural": _("natural mating"),
    "fresh": _("insemination, fresh semen"),
    "chilled": _("insemination, chilled semen"),
    "frozen": _("insemination, frozen semen"),
}
VACCINES = {
    "parvovirus": _("parvovirus"),
    "distemper": _("distemper"),
    "hepatitis": _("hepatitis"),
    "kennel-cough": _("kennel cough"),
    "leptospirosis": _("leptospirosis"),
    "rabies": _("rabies"),
}
INFECTIONS = {
    "giardia": _("Giardia"),
    "parvovirus": _("parvovirus"),
    "brucella": _("Brucella"),
    "pregnancy": _("pregnancy"),
}
KITS = {
    "giardia-antigen": _("Giardia strip"),
    "parvovirus-antigen": _("parvovirus strip"),
    "relaxin": _("pregnancy strip"),
    "brucella-antibody": _("Brucella strip"),
}
CALLS = {
    "positive": _("positive"),
    "negative": _("negative"),
    "trace": _("trace of a line"),
    "invalid": _("no control line: no result"),
    "unreadable": _("cannot be read"),
}
VOIDS = {
    "expired": _("the lot had expired"),
    "no-leaflet": _("the leaflet was never typed off"),
    "read-early": _("read too early"),
    "read-late": _("read too late"),
    "no-control-line": _("no control line"),
    "unreadable": _("could not be read"),
    "disagree": _("person and reader differ"),
    "wrong-sample": _("not a sample the leaflet allows"),
}
SAMPLES = {
    "faeces": _("stool"),
    "blood": _("whole blood"),
    "whole-blood": _("whole blood"),
    "serum": _("serum"),
    "plasma": _("plasma"),
    "vomit": _("vomit"),
}
METHODS = {
    "flotation": _("flotation under the microscope"),
    "pcr": _("PCR at a laboratory"),
    "culture": _("culture"),
    "laboratory-serology": _("laboratory blood test"),
    "scan": _("ultrasound scan"),
    "ultrasound": _("ultrasound scan"),
    "x-ray": _("X-ray"),
    "immunofluorescence": _("immunofluorescence at a laboratory"),
}
CYCLE = {
    "season-start": _("season started"),
    "lh-surge": _("LH surge"),
    "ovulation": _("ovulation"),
}
CYCLE_METHODS = {
    "lh-test": _("by LH test"),
    "progesterone": _("by progesterone"),
    "cytology": _("by smear"),
    "scan": _("by scan"),
}
COUNTED_BY = {"x-ray": _("by X-ray"), "scan": _("by scan")}
WHELPING_SIGNS = {
    "temperature-drop": _("temperature has dropped"),
    "stage-one": _("restless, nesting, panting"),
    "hard-straining": _("straining hard"),
    "weak-straining": _("straining weakly"),
    "resting": _("resting"),
    "green-discharge": _("green discharge"),
    "heavy-bleeding": _("heavy bleeding"),
    "puppy-stuck": _("a puppy is stuck"),
    "collapse": _("collapse"),
    "placenta": _("a placenta is out"),
}
BORN_AS = {
    "alive": _("born alive"),
    "stillborn": _("born dead"),
    "revived": _("born limp and revived"),
}
LEFT = {
    "home": _("went home"),
    "sold": _("sold"),
    "died": _("died"),
    "other": _("other reason"),
}
ROLES = {
    "owner": _("owner"),
    "hand": _("kennel hand"),
    "vet": _("vet"),
}
PROVENANCES = {
    "published": _("published"),
    "common practice, no source": _("common practice, no source"),
    "from memory": _("from memory"),
    "user": _("yours"),
}
KINDS = {  # of entries, as headings in the book
    "kennel-described": _("Kennel"),
    "pen-described": _("Pen"),
    "dog-described": _("Dog"),
    "arrived": _("Arrived"),
    "left": _("Left"),
    "moved": _("Moved"),
    "kept-apart": _("Kept apart"),
    "apart-ended": _("Apart ended"),
    "round-done": _("Round"),
    "observed": _("Seen"),
    "danger-checked": _("Danger check"),
    "vet-called": _("Vet called"),
    "weighed": _("Weight"),
    "vaccinated": _("Vaccinated"),
    "wormed": _("Wormed"),
    "course-written": _("Course"),
    "given-ticked": _("Given"),
    "bathed": _("Bathed"),
    "cleaned": _("Cleaned"),
    "mated": _("Mated"),
    "cycle-noted": _("Season"),
    "whelped": _("Whelped"),
    "puppy-died": _("Puppy died"),
    "pregnancy-lost": _("Pregnancy lost"),
    "progesterone-measured": _("Progesterone"),
    "temperature-taken": _("Temperature"),
    "puppies-counted": _("Puppies counted"),
    "pregnancy-aged": _("Age on a scan"),
    "whelping-noted": _("At the box"),
    "puppy-born": _("Puppy born"),
    "whelping-ended": _("Whelping over"),
    "leaflet-confirmed": _("Leaflet"),
    "leaflet-figures": _("Figures of a kit"),
    "harms-said": _("Prices of a mistake"),
    "lot-received": _("Box in"),
    "lot-counted": _("Shelf counted"),
    "test-started": _("Test started"),
    "strip-seen": _("Strip read"),
    "strip-measured": _("Photo read"),
    "test-dropped": _("Test dropped"),
    "other-result": _("Result from elsewhere"),
    "pool-tested": _("Pooled sample"),
    "due-done": _("Done"),
    "due-put-off": _("Put off"),
    "due-declined": _("Not doing"),
    "noted": _("Note"),
    "struck": _("Struck through"),
}

ALL = {
    **CALLS,
    **METHODS,
    **SAMPLES,
    **PEN_KINDS,
    **ORIGINS,
    **SIGNS,
    **DANGERS,
    **MATING_METHODS,
    **VACCINES,
    **INFECTIONS,
    **KITS,
    **CYCLE,
}


def label(code: str, words: Mapping[str, object] | None = None) -> str:
    """Words for `code`, from `words` or from all of them."""
    found = (ALL if words is None else words).get(code)
    return str(found) if found is not None else code.replace("-", " ")


def choices(
    words: Mapping[str, object], codes: tuple[str, ...]
) -> list[tuple[str, str]]:
    """Form choices for `codes`, in their order."""
    return [(code, label(code, words)) for code in codes]
