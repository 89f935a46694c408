"""What the handbook says: every source known, every caution used, numbers as published."""

import pytest

from kennelward.handbook import DogFacts, load_handbook
from kennelward.kennel.facts import OtherResult
from kennelward.programme.vocabulary import CONDITIONS, ENDS, TRIGGERS
from kennelward.terms import BadInput, Provenance

HANDBOOK = load_handbook()

PUBLISHED = [  # path, number, source read for it
    ("parvovirus.apart_after_signs_days", 14, "shelter guidebook, chapter 9"),
    ("parvovirus.contact_quarantine_days", 14, "shelter guidebook, chapter 6"),
    ("parvovirus.bleach_percent", 0.75, "Cavalli et al. 2018, 1 minute"),
    ("giardia.environment_cold_soil_days", 49, "Olson et al. 1999, 7 weeks at 4 C"),
    ("giardia.environment_warm_days", 14, "Olson et al. 1999, 2 weeks at 25 C"),
    ("giardia.drying_hours_after_cleaning", 48, "BVNA Vet Nursing J, April 2025"),
    ("brucella.recheck_from_days", 30, "Colorado Dept of Agriculture"),
    ("brucella.recheck_to_days", 60, "Colorado Dept of Agriculture"),
    ("brucella.screen_every_days", 365, "Colorado Dept of Agriculture"),
    ("pregnancy.negative_counts_lh_days", 31, "relaxin data sheet: last to turn"),
    ("pregnancy.due_lh_days", 65, "Hollinshead and Hanlon 2017"),
    ("pregnancy.overdue_mating_days", 70, "Jutkowitz 2005 as quoted"),
    ("pregnancy.after_whelping_days", 63, "Steinetz 1987: up to 9 weeks"),
    ("young.vaccine_booster_days", 182, "WSAVA 2017: 26 weeks"),
]


@pytest.mark.parametrize(("path", "number", "source"), PUBLISHED)
def test_numbers_are_as_published(path: str, number: float, source: str) -> None:
    """The number stands as its source has it."""
    assert HANDBOOK.number(path) == number, source


def test_four_kits_and_their_infections() -> None:
    """The ids that everything else uses."""
    assert {kit: card.infection for kit, card in HANDBOOK.kits.items()} == {
        "giardia-antigen": "giardia",
        "parvovirus-antigen": "parvovirus",
        "relaxin": "pregnancy",
        "brucella-antibody": "brucella",
    }


def test_every_number_has_a_unit_words_and_a_source() -> None:
    """Nothing without a source, and honest words where there is none."""
    found = dict(HANDBOOK.values())
    assert len(found) > 200
    for path, value in found.items():
        assert value.unit, path
        assert value.says, path
        assert value.source, path
        if value.source in ("common practice, no source", "from memory"):
            assert value.provenance.value == value.source, path
        else:
            assert value.provenance in (Provenance.PUBLISHED, Provenance.FROM_MEMORY)


def test_every_rule_has_a_source() -> None:
    """A rule says where it comes from and how far to trust it."""
    for rule in HANDBOOK.programmes.rules:
        assert rule.ref.source, rule.id
        assert rule.because, rule.id


def test_every_caution_is_used_and_every_one_used_exists() -> None:
    """No warning that nobody ever sees, none that is missing."""
    used = {caution for rule in HANDBOOK.programmes.rules for caution in rule.cautions}
    for infection in HANDBOOK.infections.values():
        used |= set(infection.cautions)
    for kit in HANDBOOK.kits.values():
        used |= {caution for step in kit.steps for caution in step.cautions}
    assert used == set(HANDBOOK.cautions)


def test_every_source_is_named_somewhere() -> None:
    """The list of sources holds what was used, nothing for show."""
    named = " ".join(
        [
            *(value.source for _, value in HANDBOOK.values()),
            *(rule.ref.source for rule in HANDBOOK.programmes.rules),
            *(caution.source for caution in HANDBOOK.cautions.values()),
            *(w.source for kit in HANDBOOK.kits.values() for w in kit.windows),
        ]
    )
    for key, cites in HANDBOOK.sources.items():
        author = key.partition("-")[0].capitalize()  # "and Saleh 2016" in a detail
        assert cites in named or f"{author} " in named, key


def test_every_word_of_the_vocabulary_is_used() -> None:
    """A trigger, condition or end that no rule uses would be dead code."""
    rules = HANDBOOK.programmes.rules
    assert {rule.trigger.name for rule in rules} == set(TRIGGERS)
    assert {w.name for rule in rules for w in rule.conditions} == set(CONDITIONS)
    assert {w.name for rule in rules for w in rule.ends} == set(ENDS)


def test_no_dose_and_no_banned_word() -> None:
    """No milligrams, no verdict on a dog, in anything the handbook says."""
    texts = [
        *(f"{r.says} {r.because}" for r in HANDBOOK.programmes.rules),
        *(c.says.template for c in HANDBOOK.cautions.values()),
        *(step.template for i in HANDBOOK.infections.values() for step in i.cleaning),
        *(value.says for _, value in HANDBOOK.values()),
    ]
    for text in texts:
        for word in (" mg", "milligram", "positive dog", "infected dog", " per kg"):
            assert word not in text.lower(), text


def test_reading_minutes_and_drops_are_marked_as_common_practice() -> None:
    """Nothing from a leaflet we have not read is passed off as one."""
    for kit in HANDBOOK.kits.values():
        for name in ("drops", "read_from_minutes", "read_until_minutes"):
            value = kit.values[name].latest
            assert value.provenance is Provenance.COMMON_PRACTICE, kit.kit


def test_rules_and_windows_of_results_share_their_days() -> None:
    """The Brucella wait of the rules is the one that voids a negative's worth."""
    (window,) = (
        w for w in HANDBOOK.kits["brucella-antibody"].windows if w.event == "exposure"
    )
    assert window.last == HANDBOOK.number("brucella.clearing_days") - 1
    by_event = {(w.event, w.last) for w in HANDBOOK.kits["relaxin"].windows}
    assert ("lh", 30) in by_event
    assert ("mating", 32) in by_event


def test_three_flotations_find_more_than_one() -> None:
    """The figures of three days are those for three days; fewer use fewer."""
    flotation = HANDBOOK.methods["flotation"]
    means = [
        flotation.performance_for("giardia", days_sampled=days).sensitivity.mean
        for days in (1, 2, 3, 4)
    ]
    assert means[0] < means[1] < means[2] == means[3]
    with pytest.raises(BadInput):
        flotation.performance_for("brucella")


def test_no_strip_is_among_the_methods_that_clear() -> None:
    """The same strip never clears: clearing methods are the laboratory's."""
    for methods in HANDBOOK.programmes.clearing_methods.values():
        assert not set(methods) & set(HANDBOOK.kits)
        for method in methods:
            OtherResult(dog="x", infection="y", method=method, call="negative")
            assert method in HANDBOOK.methods


PRIORS = [  # infection, what is known, mean, source
    ("giardia", {"age_days": 63}, 0.40, "Beta(8, 12), 29 to 44 % in three data sets"),
    ("giardia", {"age_days": 900}, 0.20, "Beta(4, 16)"),
    (
        "giardia",
        {"age_days": 900, "is_kennel_dog": False},
        0.08,
        "Beta(2, 23); 7.9 % in Uiterwijk 2018",
    ),
    ("brucella", {"age_days": 900, "came_from": "breeder"}, 0.005, "Johnson 2018"),
    ("brucella", {"age_days": 900, "is_contact": True}, 0.35, "Weese 2020"),
    (
        "parvovirus",
        {"age_days": 63, "signs": ("vomiting",), "is_vaccinated": False},
        0.50,
        "Beta(10, 10)",
    ),
    ("parvovirus", {"age_days": 63}, 0.01, "Beta(1, 99)"),
    ("pregnancy", {"age_days": 900, "mating_method": "frozen"}, 0.71, "Hollinshead"),
]


@pytest.mark.parametrize(("infection", "known", "mean", "source"), PRIORS)
def test_priors_fit_the_dog(
    infection: str, known: dict[str, object], mean: float, source: str
) -> None:
    """The base for dogs like this one."""
    facts = DogFacts(**known)  # type: ignore[arg-type]
    found = HANDBOOK.priors[infection].base_for(facts).chance.mean
    assert found == pytest.approx(mean, abs=0.0005), source


def test_loose_stool_raises_giardia() -> None:
    """A contribution is there with signs and not without."""
    healthy = HANDBOOK.prior_for("giardia", DogFacts(age_days=63))
    loose = HANDBOOK.prior_for("giardia", DogFacts(age_days=63, signs=("soft-stool",)))
    assert not healthy.contributions
    assert loose.contributions[0].log_odds > 0
