"""The kennel's leaflets, record and reader in the chance; how it came about, step by step."""

from datetime import date

import pytest

from kennelward.evidence import chance_from_counts, prior, result_seen
from kennelward.handbook import load_handbook
from kennelward.kennel import facts as f
from kennelward.rounds import (
    CaseResult,
    DogCase,
    chance_story,
    dog_worth,
    interpret_case,
    with_own_figures,
)
from kennelward.rounds.own_record import own_record
from kennelward.rounds.seen import READER_NOT_MEASURED, dog_facts, seen_in_case
from kennelward.rounds.worth import case_from_book, read_by
from kennelward.terms import BadInput, Call, OutOfRange, Provenance
from tests.kennel.making import Story

HANDBOOK = load_handbook()
KIT = "giardia-antigen"
PUP_BORN = date(2026, 1, 1)
ON = date(2026, 3, 8)  # 6 days after day 0


def leaflet(kit: str = KIT, *samples: str) -> f.LeafletConfirmed:
    return f.LeafletConfirmed(
        kit=kit,
        drops=3,
        read_from_minutes=5,
        read_until_minutes=10,
        storage_low_c=2,
        storage_high_c=30,
        samples=samples or ("faeces",),
    )


class Kennel(Story):
    """A kennel of puppies of one age, each in a pen of its own, tested by a person."""

    def __init__(self) -> None:
        super().__init__()
        self.tell(0, leaflet())
        self.tell(0, leaflet("parvovirus-antigen"))

    def puppy(self, name: str, **facts: object) -> None:
        self.pen(f"pen of {name}")
        self.dog(name, born_on=PUP_BORN, **facts)
        self.tell(0.01, f.Moved(dog=name, pen=f"pen of {name}"))

    def strip(
        self, dog: str, call: str, *, day: float = 1, kit: str = KIT, **facts: object
    ) -> str:
        test = f"{kit} of {dog} on {day}"
        self.tell(day, f.TestStarted(test=test, dog=dog, kit=kit, sample="faeces"))
        self.tell(day + 0.005, f.StripSeen(test=test, call=call, minutes=7, **facts))
        return test

    def worth(self, dog: str, infection: str = "giardia"):
        found = dog_worth(book=self.book, handbook=HANDBOOK, dog=dog, on=ON)
        return next(one for one in found if one.infection == infection)


def figures(**changed: object) -> f.LeafletFigures:
    said = {
        "kit": KIT,
        "situation": "any dog",
        "infected_tested": 60,
        "infected_found": 58,
        "clean_tested": 100,
        "clean_negative": 99,
    }
    return f.LeafletFigures(**(said | changed))


def test_leaflet_figures_move_the_chance_and_the_handbooks_stand_beside_it():
    kennel = Kennel()
    kennel.puppy("moss")
    kennel.strip("moss", "positive")
    before = kennel.worth("moss")
    assert before.by_handbook is None
    kennel.tell(2, figures())
    after = kennel.worth("moss")
    assert after.by_handbook.chance == before.worth.chance
    assert after.worth.chance.median > before.worth.chance.median
    used = after.seen[0].performance.sensitivity
    assert used.mean == pytest.approx(59 / 62)  # 58 of 60 under a uniform prior
    assert used.provenance is Provenance.USER


def test_leaflet_figures_of_sick_dogs_say_nothing_about_healthy_ones():
    """A maker's figure for ill puppies must not make a healthy contact look clear."""
    kennel = Kennel()
    kennel.puppy("moss")
    kennel.strip("moss", "negative", kit="parvovirus-antigen")
    before = kennel.worth("moss", "parvovirus").worth.chance
    kennel.tell(2, figures(kit="parvovirus-antigen", situation="dog with signs"))
    found = kennel.worth("moss", "parvovirus")
    assert found.worth.chance == before
    assert found.by_handbook is None


def test_the_latest_leaflet_holds_and_a_struck_one_is_gone():
    kennel = Kennel()
    first = kennel.tell(1, figures())
    kennel.tell(2, f.Struck(entry=first, why="another kit"))
    kits = with_own_figures(book=kennel.book, handbook=HANDBOOK).kits
    assert kits[KIT].performances == HANDBOOK.kits[KIT].performances
    kennel.tell(3, figures(infected_found=50))
    kennel.tell(4, figures(infected_found=40))
    kits = with_own_figures(book=kennel.book, handbook=HANDBOOK).kits
    assert kits[KIT].performances[0].sensitivity.mean == pytest.approx(41 / 62)


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        (
            {"infected_found": 61},
            "infected dogs called right must be from 0 to 60, got 61",
        ),
        (
            {"infected_tested": 0},
            "infected dogs tested must be from 1 to 1e\\+06, got 0",
        ),
        ({"infected_found": 0, "clean_negative": 50}, "lower the chance"),
    ],
)
def test_figures_that_cannot_be_are_refused_with_value_and_range(wrong, says):
    with pytest.raises(BadInput, match=says):
        figures(**wrong)


def test_the_record_counts_each_other_dog_of_the_kind_once():
    """Two of ten positive: the start falls from 40 in 100, and the reasons say so."""
    kennel = Kennel()
    kennel.puppy("moss")
    for number in range(10):
        kennel.puppy(f"pup {number}")
        kennel.strip(f"pup {number}", "positive" if number < 2 else "negative")
        kennel.strip(f"pup {number}", "negative", day=2)  # a repeat counts no more
    kennel.dog("old")  # another kind of dog
    kennel.strip("old", "positive")
    kennel.strip("moss", "negative", day=3)
    found = kennel.worth("moss")
    record = found.prior.own_record
    assert (record.positive, record.dogs) == (2, 10)
    assert 0 <= record.found < record.tested < 20
    start, own, *_ = found.worth.reasons
    assert start.values["n"] == "40"
    assert own.values["positive"] == 2
    assert float(own.values["n"]) < 40


def test_a_false_alarm_of_a_rare_infection_hardly_counts_as_a_finding():
    """One Brucella positive at 1 in 200 is most likely a false alarm."""
    kennel = Kennel()
    kennel.tell(0, leaflet("brucella-antibody", "blood"))
    for name in ("ada", "fern"):
        kennel.pen(name)
        kennel.dog(name)
        kennel.tell(0, f.Moved(dog=name, pen=name))
    kennel.tell(
        1, f.TestStarted(test="t", dog="ada", kit="brucella-antibody", sample="blood")
    )
    kennel.tell(1.005, f.StripSeen(test="t", call="positive", minutes=7))
    book = kennel.book
    case = case_from_book(book=book, dog="fern", infection="brucella", on=ON)
    record = own_record(
        book=book,
        handbook=HANDBOOK,
        dog="fern",
        facts=dog_facts(case),
        infection="brucella",
        on=ON,
        exposures={},
    )
    assert (record.positive, record.dogs) == (1, 1)
    assert 0 < record.found < 0.2


def test_void_results_are_no_record():
    kennel = Kennel()
    kennel.puppy("moss")
    kennel.puppy("rex")
    kennel.strip("rex", "positive", day=1)
    kennel.entries[-1] = kennel.entries[-1].__class__(
        **{
            name: getattr(kennel.entries[-1], name)
            for name in kennel.entries[-1].__dataclass_fields__
            if name != "fact"
        },
        fact=f.StripSeen(
            test=kennel.entries[-1].fact.test, call="positive", minutes=30
        ),
    )
    kennel.strip("moss", "negative", day=2)
    assert kennel.worth("moss").prior.own_record is None


def test_a_strip_read_by_the_reader_alone_says_whether_its_error_is_known():
    kennel = Kennel()
    kennel.puppy("moss")
    test = "t"
    kennel.tell(1, f.TestStarted(test=test, dog="moss", kit=KIT, sample="faeces"))
    kennel.tell(1.005, f.StripMeasured(test=test, call="negative", minutes=7))
    assert read_by(kennel.book.tests[test]) == "reader"
    found = kennel.worth("moss")
    known = HANDBOOK.kits[KIT].reader_error
    if known is None:
        assert READER_NOT_MEASURED in {
            reason.template for reason in found.worth.reasons
        }
    else:
        assert found.seen[0].reader == known
    kennel.tell(1.006, f.StripSeen(test=test, call="negative", minutes=8))
    assert read_by(kennel.book.tests[test]) == "both"
    assert READER_NOT_MEASURED not in {
        r.template for r in kennel.worth("moss").worth.reasons
    }


def test_the_story_starts_where_the_prior_does_and_ends_at_the_chance():
    kennel = Kennel()
    kennel.puppy("moss")
    kennel.tell(0.5, f.Observed(dog="moss", signs=("soft-stool",)))
    kennel.strip("moss", "positive", is_faint=True)
    kennel.tell(
        2,
        f.OtherResult(
            dog="moss",
            infection="giardia",
            method="flotation",
            call="negative",
            sampled_on=date(2026, 3, 4),
        ),
    )
    found = kennel.worth("moss")
    steps = chance_story(handbook=HANDBOOK, found=found)
    assert [step.kind for step in steps] == ["start", "known", "result", "result"]
    assert [step.change for step in steps] == ["same", "up", "up", "down"]
    assert steps[1].chance == pytest.approx(found.worth.chance_before.median, abs=1e-6)
    assert steps[-1].chance == pytest.approx(found.worth.chance.median, abs=1e-9)


def test_a_flotation_over_three_days_takes_more_away_than_one():
    case = DogCase(infection="giardia", on=ON, age_days=66)
    strip = CaseResult(test=KIT, call=Call.POSITIVE)

    def left(days: int) -> float:
        other = CaseResult(test="flotation", call=Call.NEGATIVE, days_sampled=days)
        found = interpret_case(handbook=HANDBOOK, case=case, results=[strip, other])
        return found.chance.median

    assert left(3) < left(2) < left(1)


def test_a_pcr_positive_after_a_live_vaccine_says_nothing_and_is_no_all_clear():
    case = DogCase(infection="parvovirus", on=ON, days_since={"live-vaccine": 20})
    seen = seen_in_case(HANDBOOK, CaseResult(test="pcr", call=Call.POSITIVE), case)
    assert not seen.counts
    found = interpret_case(
        handbook=HANDBOOK,
        case=case,
        results=[CaseResult(test="pcr", call=Call.POSITIVE)],
    )
    assert found.act_as_suspect
    late = DogCase(infection="parvovirus", on=ON, days_since={"live-vaccine": 29})
    assert seen_in_case(
        HANDBOOK, CaseResult(test="pcr", call=Call.POSITIVE), late
    ).counts


def test_a_sample_in_the_future_is_refused_with_its_day():
    case = DogCase(infection="giardia", on=ON)
    later = CaseResult(test=KIT, call=Call.NEGATIVE, on=date(2026, 4, 1))
    with pytest.raises(BadInput, match="sampled on 2026-04-01, after 2026-03-08"):
        interpret_case(handbook=HANDBOOK, case=case, results=[later])


def test_a_start_of_nothing_with_a_positive_is_refused():
    from kennelward.evidence import interpret, known_chance

    seen = result_seen(Call.POSITIVE, performance=HANDBOOK.kits[KIT].performances[0])
    with pytest.raises(OutOfRange, match="got 0; allowed is above 0 to 1"):
        interpret(prior=prior(known_chance(0.0)), results=[seen])
    assert chance_from_counts(0, 10).mean > 0


def test_signs_that_passed_still_belong_to_the_prior_and_to_no_earlier_day():
    kennel = Kennel()
    kennel.puppy("moss")
    kennel.tell(0.5, f.Observed(dog="moss", signs=("soft-stool",)))
    kennel.strip("moss", "positive")
    kennel.tell(3, f.Observed(dog="moss", signs=()))
    kennel.strip("moss", "negative", day=4)
    found = kennel.worth("moss")
    assert found.case.signs == ("soft-stool",)
    assert found.case.on == ON
    assert len(found.worth.counted) == 2
