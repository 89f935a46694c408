"""The kennel's own paired results, and the reasons why they may not tell."""

from datetime import date

import pytest

from kennelward.evidence import CannotTell, TwoTestPriors, latent_class_bayes
from kennelward.handbook import load_handbook
from kennelward.kennel import facts as f
from kennelward.rounds import own_results
from tests.rounds.test_worth import KIT, ON, Kennel

HANDBOOK = load_handbook()
SAMPLED = date(2026, 3, 4)


def vets(kennel: Kennel, dog: str, method: str, call: str) -> None:
    fact = f.OtherResult(
        dog=dog, infection="giardia", method=method, call=call, sampled_on=SAMPLED
    )
    kennel.tell(3, fact)


def kennel_of(table: dict[str, int], *methods: str) -> Kennel:
    """Puppies by pattern, such as "10": positive on the strip, negative on the method."""
    kennel = Kennel()
    words = {"1": "positive", "0": "negative"}
    for pattern, count in table.items():
        for number in range(count):
            name = f"{pattern} {number}"
            kennel.puppy(name)
            kennel.strip(name, words[pattern[0]])
            for method, said in zip(methods, pattern[1:], strict=False):
                vets(kennel, name, method, words[said])
    return kennel


def own(kennel: Kennel):
    return own_results(book=kennel.book, handbook=HANDBOOK, infection="giardia", on=ON)


def test_apparent_and_true_share_by_test():
    """3 of 10: at Se .80, Sp .95 Rogan-Gladen gives (.3 + .95 - 1) / .75 = .333."""
    (one,) = own(kennel_of({"1": 3, "0": 7})).tests
    assert (one.positive, one.dogs) == (3, 10)
    assert one.apparent.value == pytest.approx(0.3)
    assert one.true.low < 1 / 3 < one.true.high
    assert one.caution is None


def test_fewer_positives_than_false_alarms_alone_is_said():
    """0 of 90 where 5 in 100 false alarms are expected; 0 of 10 can be chance."""
    (one,) = own(kennel_of({"0": 90})).tests
    assert one.caution is not None
    assert one.true.median < 0.05
    (few,) = own(kennel_of({"0": 10})).tests
    assert few.caution is None


def test_two_tests_on_the_same_dogs_as_the_room_itself_counts_it_out():
    kennel = kennel_of({"11": 6, "10": 3, "01": 1, "00": 12}, "flotation")
    (pair,) = own(kennel).pairs
    assert (pair.first, pair.second) == ("flotation", KIT)
    assert pair.counts == (6, 1, 3, 12)
    figures = {
        "flotation": HANDBOOK.methods["flotation"].performance_for("giardia"),
        KIT: HANDBOOK.kits[KIT].performances[-1],
    }
    direct = latent_class_bayes(
        pair.counts,
        priors=TwoTestPriors(
            sensitivity=(figures["flotation"].sensitivity, figures[KIT].sensitivity),
            specificity=(figures["flotation"].specificity, figures[KIT].specificity),
        ),
    )
    assert not isinstance(direct, CannotTell)
    assert pair.prevalence == direct["prevalence"]
    assert any("same thing" in str(caution) for caution in pair.cautions)


def test_too_few_dogs_and_only_positives_are_refused_with_the_reason():
    (few,) = own(kennel_of({"11": 2, "00": 3}, "flotation")).pairs
    assert str(few.cannot.says).startswith("Dogs that had both tests lately: 5.")
    assert few.prevalence is None
    (picked,) = own(kennel_of({"11": 8, "10": 5}, "flotation")).pairs
    assert "only on dogs that were positive" in str(picked.cannot.says)


def test_three_tests_are_told_or_refused_without_anything_known_beforehand():
    table = {"111": 14, "110": 3, "101": 4, "011": 2, "100": 2, "001": 1, "000": 30}
    told = own(kennel_of(table, "flotation", "pcr")).three
    assert told.tests == ("flotation", KIT, "pcr")
    assert told.dogs == sum(table.values())
    assert 0.3 < told.answer.prevalence[0] < 0.6
    alike = own(kennel_of({"111": 12, "000": 12}, "flotation", "pcr")).three
    assert isinstance(alike.answer, CannotTell) or alike.answer.degrees_of_freedom == 0


def test_no_results_no_tables():
    found = own(Kennel())
    assert (found.tests, found.pairs, found.three) == ((), (), None)
