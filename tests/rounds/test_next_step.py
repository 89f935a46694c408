"""Which step comes next: floors that no result lowers, prices, tests that would not count."""

from datetime import date

import pytest

from kennelward.evidence import ACT, CARRY_ON, KEEP_APART, NO_TEST
from kennelward.handbook import load_handbook
from kennelward.kennel import facts as f
from kennelward.rounds import dog_worth, kennel_plan, next_step
from kennelward.terms import BadInput
from tests.rounds.test_worth import ON, Kennel, leaflet

HANDBOOK = load_handbook()
PRICES = f.KennelDescribed(
    name="K", clinic_visit_cents=6000, laboratory_test_cents=4500, currency="EUR"
)


def advice(
    kennel: Kennel, dog: str, infection: str = "giardia", *, rules: bool = False
):
    book = kennel.book
    found = next(
        one
        for one in dog_worth(book=book, handbook=HANDBOOK, dog=dog, on=ON)
        if one.infection == infection
    )
    actions = kennel_plan(book=book, handbook=HANDBOOK, on=ON).actions if rules else ()
    return next_step(book=book, handbook=HANDBOOK, found=found, on=ON, actions=actions)


@pytest.fixture
def kennel() -> Kennel:
    told = Kennel()
    told.tell(0, PRICES)
    told.puppy("moss")
    return told


def test_thresholds_are_those_of_pauker_and_kassirer(kennel):
    """R / (R + B): apart costs .5 visits clean, saves 4 - 1.5: .5 / 3; act 1 / 1.3."""
    kennel.strip("moss", "negative")
    found = advice(kennel, "moss")
    assert found.harms_are_assumed
    assert found.harms.missed_infected == 24_000
    assert found.thresholds.keep_apart_from == pytest.approx(0.5 / 3)
    assert found.thresholds.act_from == pytest.approx(1 / 1.3)


def test_the_kennels_own_harms_move_the_thresholds(kennel):
    kennel.strip("moss", "negative")
    kennel.tell(
        2,
        f.HarmsSaid(
            infection="giardia",
            missed_infected_cents=10_000,
            apart_clean_cents=5_000,
            apart_infected_cents=5_000,
            act_clean_cents=9_000,
            act_infected_cents=5_000,
        ),
    )
    found = advice(kennel, "moss")
    assert not found.harms_are_assumed
    assert found.thresholds.keep_apart_from == pytest.approx(0.5)


def test_no_result_lowers_what_a_seen_line_asks_for(kennel):
    kennel.strip("moss", "positive", is_faint=True)
    for day in (2, 3, 4):
        kennel.strip("moss", "negative", day=day)
    found = advice(kennel, "moss")
    assert found.floor.step == KEEP_APART
    steps = {step.then_if_negative for step in found.ranked}
    assert CARRY_ON not in steps | {found.step}


def test_rules_are_a_floor_a_sick_puppy_goes_to_the_vet_whatever_a_strip_says(kennel):
    kennel.tell(5, f.Vaccinated(dog="moss", against=("distemper",)))
    kennel.tell(5.5, f.Observed(dog="moss", signs=("vomiting", "listless")))
    kennel.strip("moss", "negative", day=5.6, kit="parvovirus-antigen")
    found = advice(kennel, "moss", "parvovirus", rules=True)
    assert found.floor.step == ACT
    assert {step.then_if_negative for step in found.ranked} == {ACT}


def test_a_test_that_would_not_count_today_is_not_offered(kennel):
    """Within 30 days of a course the antigen strip says nothing; a cyst test does."""
    kennel.tell(
        1,
        f.CourseWritten(
            course="c",
            dog="moss",
            text="as on the label",
            prescribed_by="Vet",
            starts_on=date(2026, 3, 2),
            ends_on=date(2026, 3, 6),
            times_a_day=1,
            infection="giardia",
        ),
    )
    kennel.strip("moss", "negative", day=5)
    found = advice(kennel, "moss")
    assert [one.test for one in found.not_now] == ["giardia-antigen"]
    offered = {step.test for step in found.ranked}
    assert "giardia-antigen" not in offered
    assert "flotation" in offered


def test_prices_are_those_of_shelf_and_kennel(kennel):
    kennel.tell(
        0.5,
        f.LotReceived(
            lot="l",
            kit="giardia-antigen",
            lot_code="A1",
            expires_on=date(2027, 1, 1),
            count=10,
            cents_each=800,
        ),
    )
    kennel.strip("moss", "negative")
    found = advice(kennel, "moss")
    price = {(step.test, step.days_sampled): step.price_cents for step in found.ranked}
    assert price["giardia-antigen", 1] == 800
    assert price["flotation", 3] == 3 * 4500
    assert price[NO_TEST, 1] == 0
    assert found.assumed_prices == ()


def test_without_prices_everything_is_told_in_clinic_visits(kennel):
    kennel.tell(0.5, f.KennelDescribed(name="K"))
    kennel.strip("moss", "negative")
    found = advice(kennel, "moss")
    assert not found.prices.is_money
    assert set(found.assumed_prices) >= {"giardia-antigen", "flotation", "pcr"}
    assert found.thresholds.keep_apart_from == pytest.approx(0.5 / 3)


def test_ranked_by_worth_and_a_test_that_changes_nothing_is_worth_its_price_less(
    kennel,
):
    kennel.strip("moss", "negative")
    found = advice(kennel, "moss")
    worth = [step.worth_cents for step in found.ranked]
    assert worth == sorted(worth, reverse=True)
    for step in found.ranked:
        if step.then_if_positive == step.then_if_negative and step.test != NO_TEST:
            assert step.worth_cents == pytest.approx(-step.price_cents)


def test_pregnancy_and_a_dog_too_young_for_brucella_get_no_sum(kennel):
    kennel.tell(0, leaflet("brucella-antibody", "blood"))
    kennel.tell(
        1, f.TestStarted(test="b", dog="moss", kit="brucella-antibody", sample="blood")
    )
    kennel.tell(1.005, f.StripSeen(test="b", call="negative", minutes=7))
    assert advice(kennel, "moss", "brucella") is None


def test_harms_below_nothing_are_refused():
    with pytest.raises(BadInput, match="price of apart clean must be from 0 to"):
        f.HarmsSaid(
            infection="giardia",
            missed_infected_cents=1,
            apart_clean_cents=-1,
            apart_infected_cents=1,
            act_clean_cents=1,
            act_infected_cents=1,
        )


def test_a_new_bitch_stays_apart_while_any_negative_is_provisional(kennel):
    """Clearing is from day 84 after the last possible contact, by strip or laboratory."""
    kennel.tell(0, leaflet("brucella-antibody", "blood"))
    kennel.dog("fern", is_breeding=True, origin="bought")
    kennel.pen("gate")
    kennel.tell(0.5, f.Arrived(dog="fern", pen="gate", source="breeder"))
    kennel.tell(
        1, f.TestStarted(test="b", dog="fern", kit="brucella-antibody", sample="blood")
    )
    kennel.tell(1.005, f.StripSeen(test="b", call="negative", minutes=7))
    found = advice(kennel, "fern", "brucella")
    assert found.step == KEEP_APART
    assert "no mating" in str(found.floor.because)
    assert {one.test for one in found.not_now} == {
        "brucella-antibody",
        "culture",
        "laboratory-serology",
        "pcr",
    }
    assert [step.test for step in found.ranked] == [NO_TEST]


def test_a_cleared_resident_is_not_told_to_stay_apart(kennel):
    kennel.tell(0, leaflet("brucella-antibody", "blood"))
    kennel.dog("ada")
    kennel.pen("row")
    kennel.tell(0, f.Moved(dog="ada", pen="row"))
    kennel.tell(
        1, f.TestStarted(test="b", dog="ada", kit="brucella-antibody", sample="blood")
    )
    kennel.tell(1.005, f.StripSeen(test="b", call="negative", minutes=7))
    assert advice(kennel, "ada", "brucella").floor.step == CARRY_ON


def test_a_dog_with_signs_stays_apart_after_a_negative(kennel):
    """The sums alone ask for nothing more; the signs do, whatever any test says."""
    kennel.tell(1, f.Observed(dog="moss", signs=("soft-stool",)))
    kennel.strip("moss", "negative", day=1.5)
    kennel.tell(
        3,
        f.OtherResult(dog="moss", infection="giardia", method="pcr", call="negative"),
    )
    found = advice(kennel, "moss")
    assert found.chance < found.thresholds.keep_apart_from
    assert found.step == KEEP_APART
    assert "has signs" in str(found.floor.because)
    assert CARRY_ON not in {step.then_if_negative for step in found.ranked}


@pytest.mark.parametrize("kind", ["quarantine", "isolation"])
def test_a_dog_in_quarantine_or_isolation_stays_there_whatever_a_strip_says(
    kennel, kind
):
    kennel.pen("gate", kind)
    kennel.tell(0.5, f.Moved(dog="moss", pen="gate"))
    kennel.strip("moss", "negative")
    found = advice(kennel, "moss")
    assert found.step == KEEP_APART
    assert kind in str(found.floor.because)


def test_apart_for_brucella_is_apart_on_the_giardia_panel_too(kennel):
    """One dog, one order; the panel of Giardia says that it is for another infection."""
    kennel.pen("gate", day=-31)
    kennel.dog("fern", day=-31, is_breeding=True, origin="bought")
    kennel.tell(-30, f.Arrived(dog="fern", pen="gate", source="breeder"))
    kennel.strip("fern", "negative")
    assert advice(kennel, "fern").step == CARRY_ON  # by the sums alone
    found = advice(kennel, "fern", rules=True)
    assert found.step == KEEP_APART
    assert found.floor.is_of_another
    assert "clearing sample" in str(found.floor.because)


def test_a_positive_that_is_only_thought_of_leads_to_apart_and_the_vet(kennel):
    """A resident's strip for Brucella, whose positive would leave less than 1 in 100."""
    kennel.tell(0, leaflet("brucella-antibody", "blood"))
    kennel.dog("ada")
    kennel.pen("row")
    kennel.tell(0, f.Moved(dog="ada", pen="row"))
    kennel.tell(
        1, f.TestStarted(test="b", dog="ada", kit="brucella-antibody", sample="blood")
    )
    kennel.tell(1.005, f.StripSeen(test="b", call="negative", minutes=7))
    found = advice(kennel, "ada", "brucella")
    tests = [step for step in found.ranked if step.test != NO_TEST]
    assert tests
    assert {step.then_if_positive for step in tests} == {ACT}


def test_a_healthy_dog_is_offered_no_parvovirus_strip(kennel):
    kennel.strip("moss", "negative", kit="parvovirus-antigen")
    found = advice(kennel, "moss", "parvovirus")
    assert "parvovirus-antigen" not in {step.test for step in found.ranked}
    assert [one.test for one in found.not_now] == ["parvovirus-antigen"]
    kennel.tell(1.5, f.Observed(dog="moss", signs=("vomiting",)))
    sick = advice(kennel, "moss", "parvovirus")
    assert "parvovirus-antigen" in {step.test for step in sick.ranked}


def test_what_a_test_would_leave_lies_on_both_sides_of_the_chance_that_is_weighed(
    kennel,
):
    kennel.strip("moss", "negative")
    found = advice(kennel, "moss")
    for step in found.ranked:
        if step.test != NO_TEST:
            assert step.chance_if_negative < found.chance < step.chance_if_positive
