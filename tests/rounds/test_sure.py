"""How sure the kennel can be: what counts, what does not, what is refused, what it costs."""

from datetime import timedelta
from math import comb

import pytest

from kennelward.evidence import BetaChance, Circumstances, choose_performance
from kennelward.kennel import facts as f
from kennelward.rounds import how_sure, plan_sure
from kennelward.terms import BadInput, OutOfRange
from tests.kennel.making import Story
from tests.rounds.sure_story import (
    DOGS,
    HANDBOOK,
    STRIP,
    ZERO,
    asked,
    middle,
    strip,
    ten_dogs,
)


@pytest.fixture
def story() -> Story:
    """Ten grown dogs at home."""
    return ten_dogs()


def bayes(found, *, tested: int, infected: int, start: float = 0.2) -> float:
    """Counted by hand: every number of infected dogs among the tested."""
    figures = choose_performance(
        HANDBOOK.kits[STRIP].performances, case=Circumstances(is_sick=False)
    )
    missed = 1 - middle(figures.sensitivity)
    silent = sum(
        comb(infected, k)
        * comb(len(DOGS) - infected, tested - k)
        / comb(len(DOGS), tested)
        * missed**k
        for k in range(max(0, tested + infected - len(DOGS)), min(infected, tested) + 1)
    )
    absent = middle(BetaChance(mean=start, strength=20))
    return absent / (absent + (1 - absent) * silent)


@pytest.mark.parametrize("tested", [1, 4, 10])
def test_one_round_is_bayes_over_the_hypergeometric(story, tested):
    """Against a count by hand."""
    for dog in DOGS[:tested]:
        strip(story, dog, 5)
    found = asked(story)
    assert found.infected == 2
    assert found.tests == tested
    assert found.today is not None
    assert found.today.chance.median == pytest.approx(
        bayes(found, tested=tested, infected=2), abs=1e-9
    )


def test_void_results_never_reassure(story):
    """Read late, no control line, unreadable, trace: told, not counted."""
    strip(story, "dog0", 3, minutes=20)
    strip(story, "dog1", 3, call="invalid")
    strip(story, "dog2", 3, call="unreadable")
    found = asked(story)
    assert found.tests == 0
    assert found.today.chance.median == pytest.approx(
        middle(BetaChance(mean=0.2, strength=20)), abs=1e-9
    )
    assert [one.tests for one in found.not_counted] == [1]
    assert "read after its time" in str(found.not_counted[0].why)
    assert "No negative that counts" in " ".join(map(str, found.says))


def test_nothing_is_ever_called_free(story):
    """A chance of fewer than so many dogs, never a verdict."""
    for dog in DOGS:
        strip(story, dog, 5)
    told = asked(story)
    words = " ".join(map(str, told.says)).casefold()
    assert "free" not in words
    assert "fewer than 2 of 10 dogs have it" in words
    assert told.today.chance.high < 1


@pytest.mark.parametrize("call", ["positive", "trace"])
def test_an_open_suspect_is_refused_with_its_name(story, call):
    """No number while the vet has not settled it, and no plan."""
    strip(story, "dog0", 5)
    strip(story, "dog4", 20, call=call)
    found = asked(story)
    assert found.curve is None
    assert found.suspects == ("dog4",)
    assert "Dog4" in str(found.says[0])
    planned = plan_sure(
        found, book=story.book, handbook=HANDBOOK, by=found.on + timedelta(days=9)
    )
    assert planned.plan is None
    assert planned.refused == found.refused


def test_after_a_case_counting_starts_anew(story):
    """What was negative before a positive says nothing of the time after."""
    for dog in DOGS:
        strip(story, dog, 2)
    strip(story, "dog4", 5, call="positive")
    found = asked(story, day=60)
    assert found.assumptions.starts_on == ZERO + timedelta(days=5 + 30 + 1)
    assert found.tests == 0
    with pytest.raises(OutOfRange, match=r"must be from 2026-04-07 to 2026-05-01"):
        asked(story, day=60, starts_on=ZERO)


def test_a_dog_kept_apart_for_it_keeps_the_case_open(story):
    """Whatever the days since the positive."""
    strip(story, "dog4", 5, call="positive")
    story.tell(5, f.KeptApart(dog="dog4", infection="giardia"))
    assert asked(story, day=90).curve is None
    story.tell(91, f.ApartEnded(dog="dog4", on_whose_word="the vet"))
    after = asked(story, day=100)
    assert after.curve is not None
    assert after.assumptions.starts_on == ZERO + timedelta(days=92)


def test_an_arrival_lowers_it_on_the_day_it_joins(story):
    """Quarantine is not among the others; what comes after is."""
    for dog in DOGS:
        strip(story, dog, 2)
    story.dog("rex", sex="dog", day=3, origin="bought")
    story.tell(3, f.Arrived(dog="rex", pen="q", source="commercial"))
    waiting = asked(story)
    assert waiting.set_aside == ("rex",)
    assert waiting.introductions == ()
    story.tell(20, f.Moved(dog="rex", pen="a"))
    joined = asked(story)
    (came,) = joined.introductions
    assert came.on == ZERO + timedelta(days=20)
    days = {point.on: point.chance.median for point in joined.curve.points}
    before, after = ZERO + timedelta(days=19), came.on
    assert days[after] == pytest.approx(days[before] * (1 - middle(came.chance)))
    assert joined.today.chance.median < waiting.today.chance.median


def test_tests_in_quarantine_make_the_arrival_surer_and_nobody_else(story):
    """They speak of that dog: its chance falls, and they are no round of the kennel."""
    story.dog("rex", sex="dog", day=3, origin="bought")
    story.tell(3, f.Arrived(dog="rex", pen="q", source="commercial"))
    story.tell(25, f.Moved(dog="rex", pen="a"))
    untested = asked(story)
    strip(story, "rex", 20)
    tested = asked(story)
    assert tested.tests == 0
    assert "quarantine" in str(tested.not_counted[0].why)
    assert tested.introductions[0].chance.mean < untested.introductions[0].chance.mean
    assert tested.today.chance.median > untested.today.chance.median


def test_a_mating_outside_is_a_way_in(story):
    """Away, or with a sire that is not in the book."""
    story.tell(10, f.Mated(dam="dog0", sire_outside="Stranger"))
    found = asked(story, brought_home=0.1)
    assert [came.on for came in found.introductions] == [ZERO + timedelta(days=10)]
    start = found.curve.points[0].chance.median
    kept = 1 - middle(BetaChance(mean=0.1, strength=20))
    assert found.today.chance.median == pytest.approx(start * kept)


def test_what_is_not_written_wears_it_down_day_by_day(story):
    """A year at 10 in 100 leaves 90 in 100 of it."""
    for dog in DOGS:
        strip(story, dog, 0)
    found = asked(story, day=365, unwritten_a_year=0.1)
    first, last = found.curve.points[0], found.curve.points[-1]
    assert last.chance.median == pytest.approx(0.9 * first.chance.median, rel=1e-6)


def test_a_young_dog_tells_more_where_young_dogs_have_it_more(story):
    """Giardia: 2.8 times as often under six months (Bouzid 2015, ratio 0.36)."""
    story.dog("pup", day=1, born_on=ZERO - timedelta(days=60))
    story.tell(1, f.Moved(dog="pup", pen="a"))
    by_pup, by_grown = Story(), Story()
    by_pup.entries, by_grown.entries = list(story.entries), list(story.entries)
    strip(by_pup, "pup", 5)
    strip(by_grown, "dog0", 5)
    assert asked(by_pup).today.chance.median > asked(by_grown).today.chance.median


def test_too_young_for_brucella_is_not_counted(story):
    """Under six months a dog cannot be judged."""
    story.dog("pup", day=1, born_on=ZERO - timedelta(days=60))
    story.tell(1, f.Moved(dog="pup", pen="a"))
    for dog in ("pup", "dog0"):
        story.tell(
            5,
            f.OtherResult(
                dog=dog,
                infection="brucella",
                method="laboratory-serology",
                call="negative",
            ),
        )
    found = asked(story, infection="brucella")
    assert found.tests == 1
    assert "too young" in str(found.not_counted[0].why)


def test_a_pooled_sample_counts_for_all_its_dogs_and_less_than_each(story):
    """Between one dog alone and each dog on its own."""
    stories = {name: Story() for name in ("one", "pool", "each")}
    for told in stories.values():
        told.entries = list(story.entries)
    fact = {"infection": "giardia", "method": "flotation", "call": "negative"}
    stories["one"].tell(5, f.OtherResult(dog="dog0", **fact))
    stories["pool"].tell(5, f.PoolTested(dogs=DOGS[:5], **fact))
    for dog in DOGS[:5]:
        stories["each"].tell(5, f.OtherResult(dog=dog, **fact))
    left = {name: asked(told).today.chance.median for name, told in stories.items()}
    assert left["one"] < left["pool"] < left["each"]


def test_a_positive_pool_is_refused_until_its_days_are_over(story):
    """One of its dogs at least has it."""
    story.tell(
        5,
        f.PoolTested(
            dogs=DOGS[:3], infection="giardia", method="flotation", call="positive"
        ),
    )
    assert asked(story, day=20).curve is None
    assert asked(story, day=50).curve is not None


def test_dogs_that_left_count_no_more(story):
    """Their tests do not speak of those that stayed."""
    strip(story, "dog0", 5)
    story.tell(8, f.Left(dog="dog0"))
    found = asked(story)
    assert found.tests == 0
    assert len(found.dogs) == 9
    assert "not here any more" in str(found.not_counted[0].why)


def test_an_empty_kennel_is_refused():
    """Nothing to speak of."""
    told = Story()
    told.pen("a")
    found = how_sure(book=told.book, handbook=HANDBOOK, infection="giardia", on=ZERO)
    assert found.curve is None
    assert "No dog is here" in str(found.refused)


def test_more_tests_never_make_it_less_sure(story):
    """One dog more, each time."""
    chances = [asked(story).today.chance.median]
    for dog in DOGS:
        strip(story, dog, 5)
        chances.append(asked(story).today.chance.median)
    assert chances == sorted(chances)


WRONG = [
    ({"infected_share": 0.7}, r"share infected.*0\.5.*0\.7"),
    ({"absent_at_start": 1.0}, r"absent at the start.*0\.99"),
    ({"young_risk": 0.0}, r"risk of young dogs"),
]


@pytest.mark.parametrize(("change", "says"), WRONG)
def test_wrong_assumptions_name_value_and_range(story, change, says):
    with pytest.raises(BadInput, match=says):
        asked(story, **change)


def test_wrong_questions_name_value_and_range(story):
    sure = asked(story)
    book = {"book": story.book, "handbook": HANDBOOK}
    with pytest.raises(BadInput, match="one of brucella, giardia, parvovirus"):
        how_sure(**book, infection="pregnancy", on=ZERO)
    with pytest.raises(OutOfRange, match=r"must be from 2026-04-01 to 2027-04-01"):
        plan_sure(sure, **book, by=ZERO)
    with pytest.raises(BadInput, match=r"chance wanted.*1\.2"):
        plan_sure(sure, **book, by=sure.on, wanted=1.2)


def lost_litter(story, *, stillborn: int, born_alive: int) -> None:
    story.tell(
        20,
        f.Whelped(
            litter="l",
            name="Spring",
            dam="dog1",
            born_alive=born_alive,
            stillborn=stillborn,
        ),
    )


def test_losses_that_ask_for_a_work_up_refuse_an_answer_about_brucella(story):
    """A whole litter lost, until a laboratory answered from a sample since."""
    lost_litter(story, stillborn=4, born_alive=0)
    found = asked(story, infection="brucella")
    assert found.curve is None
    assert found.suspects == ("dog1",)
    assert "Losses that may be Brucella are open (Dog1)" in str(found.says[0])
    assert asked(story).curve is not None  # of Giardia it says nothing
    story.tell(
        25,
        f.OtherResult(
            dog="dog1",
            infection="brucella",
            method="laboratory-serology",
            call="negative",
        ),
    )
    assert asked(story, infection="brucella").curve is not None


def test_a_few_stillborn_are_said_beside_the_number(story):
    lost_litter(story, stillborn=2, born_alive=5)
    words = " ".join(map(str, asked(story, infection="brucella").says))
    assert "Puppies were lost (Dog1)" in words
    assert "Puppies were lost" not in " ".join(map(str, asked(story).says))
