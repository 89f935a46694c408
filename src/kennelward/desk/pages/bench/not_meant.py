"""What a result does not mean: said beside what it means, never left out."""

from django.utils.translation import gettext as _

from kennelward.evidence import Interpretation
from kennelward.handbook import Handbook
from kennelward.kennel import TestCard
from kennelward.terms import Call


def not_meant(
    card: TestCard, *, handbook: Handbook, worth: Interpretation | None = None
) -> list[str]:
    """Sentences on what this result does not say; how often it is wrong comes first."""
    if not card.counts:
        return [
            _(
                "It does not count. It reassures about nothing, clears nobody and lifts "
                "no precaution: go on as before the test."
            )
        ]
    infection = handbook.kits[card.kit].infection
    is_seen = card.call in (Call.POSITIVE, Call.TRACE)
    told = _after_line(infection) if is_seen else _after_none(infection)
    return [*_how_often_wrong(card, infection, worth), *told]


def _how_often_wrong(
    card: TestCard, infection: str, worth: Interpretation | None
) -> list[str]:
    """A counted result as a share of dogs for which it says the wrong thing."""
    if worth is None or not worth.counted or infection == "pregnancy":
        return []
    if worth.counted[-1].ref != card.started.entry:
        return []
    said = worth.frequency
    if worth.counted[-1].call is Call.POSITIVE:
        return [
            _(
                "It is no certain yes: of %(of)s dogs with all this known, about %(n)s "
                "would not have it."
            )
            % {"of": said.of, "n": said.of - said.after}
        ]
    return [
        _(
            "It is no all-clear: of %(of)s dogs with all this known, about %(n)s would "
            "have it all the same."
        )
        % {"of": said.of, "n": said.after}
    ]


def _after_line(infection: str) -> list[str]:
    """After a line at T."""
    told = {
        "giardia": [
            _(
                "Infected does not mean that Giardia is the cause of the soft stool: "
                "coccidia, roundworm or another infection can be there as well."
            ),
            _(
                "It says nothing about treatment: the vet decides, above all in a dog "
                "without signs."
            ),
        ],
        "parvovirus": [
            _(
                "It does not replace the vet, and there is no waiting for another strip."
            ),
            _(
                "After a live vaccine the strip can show the vaccine. Until the vet says "
                "so, it is treated as the disease."
            ),
        ],
        "brucella": [
            _(
                "A suspect, not a verdict: only blood drawn by the vet and a second "
                "method can tell."
            ),
            _("No dog is killed, sold or given away because of a strip."),
        ],
        "pregnancy": [
            _("It does not count puppies, or say that they live: that takes a scan."),
            _("A pregnancy that was lost lately can still show."),
        ],
    }
    return told.get(infection, [_("A strip is a screening aid. The vet confirms.")])


def _after_none(infection: str) -> list[str]:
    """After a line at C alone."""
    told = {
        "giardia": [
            _(
                "It does not clear the dog: cysts come and go, and one sample can miss "
                "them."
            ),
            _("After a course this strip does not show a cure: a cyst test does."),
        ],
        "parvovirus": [
            _(
                "It changes nothing for a dog with signs: apart, and the vet, until a "
                "repeat or a laboratory test and the vet say otherwise."
            ),
            _("It clears no healthy dog."),
        ],
        "brucella": [
            _("It clears no breeding dog: no mating on a provisional negative."),
            _(
                "A strip and the same strip again never clear. Vet-drawn blood and a "
                "second method do, from the day the dates below say."
            ),
        ],
        "pregnancy": [
            _("It is not a no: any single negative is repeated in seven days."),
        ],
    }
    return told.get(infection, [_("A strip is a screening aid. The vet confirms.")])
