"""The litters room's numbers as the handbook has them on one day."""

from kennelward.litters import (
    AdultShare,
    BestCurve,
    BirthWeights,
    BreedBirth,
    BreedShare,
    DueDateModel,
    GestationModel,
    GrowthModel,
    GrowthRules,
    LitterNumbers,
    LitterSizeModel,
    LossModel,
    MatingTime,
    NearTerm,
    SeasonProgesterone,
    SizeBirth,
    TestDays,
    TrendModel,
    WhelpingRules,
)
from kennelward.programme.typed import Number, typed

SIZES = ("small", "medium", "large", "giant")
CURVED_SIZES = SIZES[:-1]  # giants have no published share of their grown weight
BIRTH_BREEDS = (
    "australian_shepherd",
    "bichon_frise",
    "cocker_spaniel",
    "german_shepherd",
    "golden_retriever",
    "labrador_retriever",
    "maltese",
    "rottweiler",
    "shih_tzu",
    "west_highland_white",
)
CURVED_BREEDS = ("beagle",)


def litter_numbers(number: Number) -> LitterNumbers:
    """Everything, by the names that the handbook gives; `number` gives one by its path.

    Raises BadInput where a value is missing or cannot be.
    """
    return LitterNumbers(
        due_date=_due_date(number),
        test_days=typed(TestDays, owner="pregnancy", number=number),
        whelping=typed(WhelpingRules, owner="whelping", number=number),
        growth=_growth(number),
        birth_weights=_birth_weights(number),
        losses=loss_model(number),
        early_death_days=round(number("births.early_death_days")),
    )


def loss_model(number: Number) -> LossModel:
    """The numbers of the loss alarm alone."""
    return typed(LossModel, owner="losses", number=number)


def _due_date(number: Number) -> DueDateModel:
    matings = {
        method: typed(
            MatingTime, owner="mating-times", number=number, prefix=f"{method}_"
        )
        for method in ("natural", "fresh", "chilled", "frozen")
    }
    return DueDateModel(
        gestation=typed(
            GestationModel,
            owner="gestation",
            number=number,
            surge_to_birth_days=number("pregnancy.due_lh_days"),
        ),
        season=typed(SeasonProgesterone, owner="season-progesterone", number=number),
        near_term=typed(NearTerm, owner="near-term", number=number),
        litter_size=typed(LitterSizeModel, owner="litter-size", number=number),
        **matings,
    )


def _growth(number: Number) -> GrowthModel:
    return GrowthModel(
        rules=typed(GrowthRules, owner="growth", number=number),
        trend=typed(TrendModel, owner="growth", number=number),
        best=typed(BestCurve, owner="growth", number=number, prefix="best_"),
        adults={
            size: typed(AdultShare, owner="growth", number=number, prefix=f"{size}_")
            for size in CURVED_SIZES
        },
        breeds={
            breed: typed(BreedShare, owner="growth", number=number, prefix=f"{breed}_")
            for breed in CURVED_BREEDS
        },
    )


def _birth_weights(number: Number) -> BirthWeights:
    owner = "birth-weights"
    return typed(
        BirthWeights,
        owner=owner,
        number=number,
        sizes={
            size: typed(SizeBirth, owner=owner, number=number, prefix=f"{size}_")
            for size in SIZES
        },
        breeds={
            breed: typed(BreedBirth, owner=owner, number=number, prefix=f"{breed}_")
            for breed in BIRTH_BREEDS
        },
    )
