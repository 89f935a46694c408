"""An old negative for Brucella does not carry past a later exposure or later losses."""

from datetime import timedelta

import pytest

from kennelward.handbook import load_handbook
from kennelward.kennel import facts as f
from kennelward.rounds import chance_story, dog_worth
from tests.kennel.making import DAY_ZERO, Story

HANDBOOK = load_handbook()
ZERO = DAY_ZERO.date()


@pytest.fixture
def story() -> Story:
    """A bitch bred at home with a laboratory negative of day 1."""
    told = Story()
    told.pen("a")
    told.dog("sorrel")
    told.tell(0, f.Moved(dog="sorrel", pen="a"))
    laboratory(told, 1)
    return told


def laboratory(story: Story, day: float, call: str = "negative") -> None:
    story.tell(
        day,
        f.OtherResult(
            dog="sorrel", infection="brucella", method="laboratory-serology", call=call
        ),
    )


def worth(story: Story, day: int):
    (found,) = (
        one
        for one in dog_worth(
            book=story.book,
            handbook=HANDBOOK,
            dog="sorrel",
            on=ZERO + timedelta(days=day),
        )
        if one.infection == "brucella"
    )
    return found


def outside_mating(story: Story, day: float = 60) -> None:
    story.tell(day, f.Mated(dam="sorrel", sire_outside="Stranger", method="frozen"))


def stillborn(story: Story, day: float = 122) -> None:
    story.tell(
        day,
        f.Whelped(litter="l", name="May", dam="sorrel", born_alive=4, stillborn=2),
    )


def test_a_negative_from_before_an_outside_mating_counts_no_more(story):
    before = worth(story, 59)
    assert before.worth.informative
    assert before.worth.chance.median < 0.001
    outside_mating(story)
    after = worth(story, 100)
    assert not after.worth.informative
    assert after.worth.chance.median > 20 * before.worth.chance.median
    said = str(after.worth.in_words)
    assert "before the outside mating of 2026-05-01" in said
    assert "does not hold now" in said
    assert "Gloves" in said
    assert "ask the vet" in said
    assert "Of 1" not in said
    start, old = chance_story(handbook=HANDBOOK, found=after)
    assert "After a mating with an outside dog" in str(start.says)
    assert old.kind == "void"
    assert "before the last possible exposure" in str(old.why_not)


def test_the_losses_are_said_with_the_mating(story):
    outside_mating(story)
    stillborn(story)
    said = str(worth(story, 125).worth.in_words)
    assert "the outside mating of 2026-05-01 and the losses of 2026-07-02" in said


def test_losses_alone_make_an_old_negative_count_no_more(story):
    stillborn(story)
    found = worth(story, 125)
    assert not found.worth.informative
    assert "before the losses of 2026-07-02" in str(found.worth.in_words)


def test_a_laboratory_negative_after_both_leads_with_its_number_again(story):
    outside_mating(story)
    stillborn(story)
    laboratory(story, 150)  # 90 days after the mating: beyond the 84 of the handbook
    found = worth(story, 151)
    assert found.worth.informative
    assert [one.counts for one in found.seen] == [False, True]
    assert "would turn out to carry Brucella" in str(found.worth.in_words)


def test_a_positive_from_before_is_never_put_aside(story):
    laboratory(story, 2, call="positive")
    outside_mating(story)
    found = worth(story, 100)
    assert [one.counts for one in found.seen] == [False, True]
    assert found.worth.act_as_suspect
    assert "does not hold now" not in str(found.worth.in_words)


def test_a_mating_at_home_changes_nothing(story):
    story.dog("rex", sex="dog")
    story.tell(60, f.Mated(dam="sorrel", sire="rex"))
    assert worth(story, 100).worth.informative
