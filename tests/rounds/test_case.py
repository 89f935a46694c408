"""A dog's case is read off the book, as it stood on a day."""

from datetime import date, timedelta

import pytest

from kennelward.handbook import load_handbook
from kennelward.kennel import facts as f
from kennelward.rounds import DogCase, Exposure, case_from_book
from kennelward.rounds.worth import circumstances
from tests.kennel.making import Story

ON = date(2026, 3, 22)  # 20 days after day 0


@pytest.fixture
def story() -> Story:
    told = Story()
    told.pen("a")
    told.dog("moss", born_on=date(2025, 12, 1))
    told.tell(0, f.Arrived(dog="moss", pen="a", source="breeder"))
    return told


def case(story: Story, infection: str = "giardia", on: date = ON, **kwargs) -> DogCase:
    return case_from_book(
        book=story.book, dog="moss", infection=infection, on=on, **kwargs
    )


def test_age_source_and_days_since_arrival(story):
    found = case(story)
    assert found.age_days == 111
    assert found.source == "breeder"
    assert found.days_since["arrival"] == 20
    assert found.days_since["exposure"] == 20


def test_the_last_outside_contact_is_the_exposure_where_it_is_known(story):
    contact = date(2026, 2, 20)
    story.tell(
        1,
        f.Arrived(dog="moss", pen="a", source="home", last_outside_contact_on=contact),
    )
    assert case(story).days_since["exposure"] == (ON - date(2026, 3, 2)).days
    story.entries.pop(2)  # without the first arrival only the stated day is left
    assert case(story).days_since["exposure"] == (ON - contact).days


def test_illness_counts_from_the_first_day_of_this_run_of_signs(story):
    story.tell(5, f.Observed(dog="moss", signs=("vomiting",)))
    story.tell(7, f.Observed(dog="moss", signs=()))
    story.tell(18, f.Observed(dog="moss", signs=("soft-stool",)))
    story.tell(19, f.Observed(dog="moss", signs=("soft-stool", "off-food")))
    found = case(story)
    assert found.signs == ("soft-stool", "off-food")
    assert found.days_since["illness"] == 2
    earlier = case(story, on=date(2026, 3, 8))
    assert earlier.signs == ("vomiting",)
    assert "illness" not in case(story, on=date(2026, 3, 10)).days_since


def test_only_a_live_vaccine_against_this_infection_counts(story):
    story.tell(10, f.Vaccinated(dog="moss", against=("distemper",)))
    assert case(story, "parvovirus").is_vaccinated is False
    story.tell(15, f.Vaccinated(dog="moss", against=("parvovirus",)))
    found = case(story, "parvovirus")
    assert found.days_since["live-vaccine"] == 5
    assert found.is_vaccinated is True
    story.tell(17, f.Vaccinated(dog="moss", against=("parvovirus",), is_live=False))
    assert case(story, "parvovirus").days_since["live-vaccine"] == 5


def test_without_any_vaccination_entry_it_is_not_known(story):
    assert case(story, "parvovirus").is_vaccinated is None


def test_a_course_counts_from_its_last_day_and_only_once_that_has_come(story):
    story.tell(
        8,
        f.CourseWritten(
            course="c",
            dog="moss",
            text="as on the label",
            prescribed_by="Vet",
            starts_on=date(2026, 3, 10),
            ends_on=date(2026, 3, 14),
            times_a_day=1,
            infection="giardia",
        ),
    )
    assert case(story).days_since["course-end"] == 8
    assert "course-end" not in case(story, on=date(2026, 3, 12)).days_since
    assert "course-end" not in case(story, "parvovirus").days_since


def test_meeting_a_suspect_is_an_exposure_and_names_how(story):
    met = Exposure(suspect="rex", how="pen-mate", first=ON, last=ON - timedelta(days=1))
    found = case(story, exposures=[met])
    assert found.exposures == ("pen-mate",)
    assert found.days_since["exposure"] == 1
    before = case(story, on=ON - timedelta(days=3), exposures=[met])
    assert before.exposures == ()


def test_a_mating_with_an_outside_dog_is_an_exposure_to_brucella_alone(story):
    story.tell(12, f.Mated(dam="moss", sire_outside="Stranger"))
    assert case(story, "brucella").days_since["exposure"] == 8
    assert case(story, "giardia").days_since["exposure"] == 20
    assert case(story, "pregnancy").mating_method == "natural"


def test_the_surge_is_the_clock_of_a_pregnancy_where_it_is_known():
    """Ovulation is two days after LH (Hollinshead & Hanlon 2019)."""
    by_mating = DogCase(infection="pregnancy", on=ON, days_since={"mating": 25})
    assert dict(circumstances(by_mating).days_since) == {"mating": 25}
    days = {"mating": 25, "ovulation": 24}
    by_ovulation = DogCase(infection="pregnancy", on=ON, days_since=days)
    told = circumstances(by_ovulation, handbook=load_handbook())
    assert dict(told.days_since) == {"ovulation": 24, "lh": 26}
