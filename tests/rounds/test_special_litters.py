"""Litters and pregnancies out of the ordinary: each is handled, none makes a page fail."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from kennelward.handbook import load_handbook
from kennelward.kennel import facts as f
from kennelward.litters import check_weight_unit
from kennelward.rounds import (
    dated_litters,
    kennel_losses,
    kennel_plan,
    litter_growth,
    loss_pattern,
    losses_delay,
    next_litter_to_alarm,
    parents_compared,
    pregnancies_lost,
    pregnancy_plan,
    puppy_file,
    ready_to_leave,
    usual_weight_g,
    whelping_night,
)
from kennelward.terms import BadInput
from tests.kennel.making import DAY_ZERO, Story, moment

DAY = DAY_ZERO.date()
HANDBOOK = load_handbook()
NUMBERS = HANDBOOK.litters(date(2026, 11, 1))


@pytest.fixture
def story() -> Story:
    told = Story()
    told.pen("a")
    told.dog("fern")
    return told


def on(days: int) -> date:
    return DAY + timedelta(days=days)


def litter(story: Story, count: int, day: float = 0, **facts: object) -> None:
    story.tell(
        day, f.Whelped(litter="l", name="March", dam="fern", born_alive=count, **facts)
    )
    for number in range(count):
        story.dog(f"p{number}", day=day, litter="l", dam="fern", born_on=on(int(day)))


def growth(story: Story):
    return litter_growth(book=story.book, handbook=HANDBOOK, litter="l")


def test_in_a_litter_of_fourteen_the_failing_one_is_found(story):
    litter(story, 14)
    for number in range(14):
        for day in (0.1, 1, 2):
            kept = 0.8 if number == 13 and day >= 1 else 1.0
            grams = (300 + number) * 1.07**day * kept
            story.tell(day + number / 1000, f.Weighed(dog=f"p{number}", weight_g=grams))
    found = growth(story)
    assert len(found) == 14
    assert [g.dog for g in found if g.flag.value == "call the vet"] == ["p13"]
    assert found[13].warnings[0].code == "early-loss"
    (one,) = dated_litters(book=story.book, handbook=HANDBOOK, on=on(4))
    assert (one.loss.born, one.loss.lost) == (14, 0)


def test_a_single_puppy_born_dead_flags_no_litter_and_still_asks_nothing_of_chance(
    story,
):
    story.tell(
        0, f.Whelped(litter="l", name="March", dam="fern", born_alive=0, stillborn=1)
    )
    found = kennel_losses(book=story.book, handbook=HANDBOOK, on=on(1))
    ((_, chance, flag),) = found.litters
    assert flag.value == "none"
    assert chance == pytest.approx(0.08)
    pattern = loss_pattern(book=story.book, handbook=HANDBOOK, on=on(1))
    assert [sign.kind for sign in pattern.signs] == ["whole-litter"]  # the vet is asked


def test_a_dam_with_no_history_has_the_kennels_own_loss(story):
    litter(story, 5)
    (dam,) = parents_compared(book=story.book, handbook=HANDBOOK, on=on(1), role="dam")
    assert dam.litters == 1
    assert (
        dam.low
        < kennel_losses(book=story.book, handbook=HANDBOOK, on=on(1)).baseline
        < dam.high
    )


def test_a_kennel_without_a_litter_has_no_alarm_and_no_delay():
    told = Story()
    told.pen("a")
    told.dog("fern")
    known = {"book": told.book, "handbook": HANDBOOK, "on": on(1)}
    assert losses_delay(**known) is None
    assert not kennel_losses(**known).alarm
    assert not loss_pattern(**known).is_raised
    assert pregnancies_lost(**known).pregnancies == 0
    assert next_litter_to_alarm(**known) is None


def test_puppies_without_names_count_as_born_and_lost(story):
    story.tell(0, f.Whelped(litter="l", name="March", dam="fern", born_alive=6))
    story.tell(2, f.PuppyDied(litter="l"))
    assert growth(story) == ()
    (one,) = dated_litters(book=story.book, handbook=HANDBOOK, on=on(3))
    assert (one.loss.born, one.loss.lost) == (6, 1)


def test_twins_in_one_sac_leave_one_placenta_and_no_alert(story):
    story.tell(1, f.PuppyBorn(puppy="p1", dam="fern", weight_g=310))
    story.tell(1.003, f.PuppyBorn(puppy="p2", dam="fern", weight_g=300))
    story.tell(1.005, f.WhelpingNoted(dam="fern", sign="placenta"))
    night = whelping_night(
        book=story.book, handbook=HANDBOOK, dam="fern", now=moment(1.02)
    )
    assert (night.puppies, night.placentas, night.alerts) == (2, 1, ())


def test_a_mating_that_nobody_saw_is_due_over_its_days(story):
    story.tell(9, f.Mated(dam="fern", sire_outside="Stranger", first_possible_on=on(0)))
    plan = pregnancy_plan(book=story.book, handbook=HANDBOOK, dam="fern", on=on(20))
    (mating,) = plan.facts.matings
    assert (mating.since, mating.on) == (on(0), on(9))
    assert (plan.due.high - plan.due.low).days >= 9
    assert plan.windows.negative_counts_from == on(9 + 33)


def test_two_matings_a_week_apart_count_from_the_last(story):
    for day in (0, 7):
        story.tell(day, f.Mated(dam="fern", sire_outside="Stranger"))
    plan = pregnancy_plan(book=story.book, handbook=HANDBOOK, dam="fern", on=on(20))
    assert plan.windows.negative_counts_from == on(40)
    assert plan.due.low < on(63) < plan.due.high


def test_serial_progesterone_alone_gives_a_plan_from_the_book(story):
    for day, value in ((0, 3.2), (2, 8.6), (4, 15.3)):  # nmol/L: 1.0, 2.7, 4.8 ng/mL
        story.tell(
            day,
            f.ProgesteroneMeasured(
                dam="fern", value=value, unit="nmol/L", assay="CLIA"
            ),
        )
    plan = pregnancy_plan(book=story.book, handbook=HANDBOOK, dam="fern", on=on(20))
    assert plan.due.because == ("progesterone in season",)
    assert abs((plan.due.median - on(2)).days - 65) <= 1
    assert {value.assay for value in plan.facts.progesterone} == {"CLIA"}


def test_values_before_the_rise_give_no_plan(story):
    story.tell(0, f.ProgesteroneMeasured(dam="fern", value=0.6))
    assert (
        pregnancy_plan(book=story.book, handbook=HANDBOOK, dam="fern", on=on(2)) is None
    )


def test_the_age_on_a_scan_and_counts_are_read_off_the_book(story):
    story.tell(30, f.PregnancyAged(dam="fern", days_from_ovulation=28))
    story.tell(30, f.PuppiesCounted(dam="fern", method="scan", count=3))
    story.tell(58, f.PuppiesCounted(dam="fern", method="x-ray", count=2))
    plan = pregnancy_plan(book=story.book, handbook=HANDBOOK, dam="fern", on=on(59))
    assert abs((plan.due.median - on(2)).days - 64) <= 1  # ovulation + 63, a day later
    assert "litter size" in plan.due.because
    assert (plan.size.counted, plan.size.counted_by) == (2, "x-ray")
    assert [one.fact for one in plan.says] == ["age on a scan"]


def test_dates_that_contradict_leave_facts_out_and_say_so(story):
    story.tell(0, f.CycleNoted(dam="fern", what="lh-surge"))
    story.tell(40, f.CycleNoted(dam="fern", what="ovulation"))
    plan = pregnancy_plan(book=story.book, handbook=HANDBOOK, dam="fern", on=on(45))
    assert not plan.do_dates_fit


@pytest.mark.parametrize(
    ("breed", "grams", "asks"),
    [("", 3500, True), ("Labrador Retriever", 3500, True), ("Shih Tzu", 3500, True),
     ("Labrador Retriever", 350, False), ("Shih Tzu", 0.176, True)],
)  # fmt: skip
def test_a_weight_in_the_wrong_unit_is_asked_about(breed, grams, asks):
    """3500 g at birth is ten puppies, or a digit too many."""
    told = Story()
    told.pen("a")
    told.dog("fern", breed=breed)
    litter(told, 1)
    (one,) = growth(told)
    usual = usual_weight_g(
        growth=one, numbers=NUMBERS, born_at=moment(0), at=moment(0.1)
    )
    assert bool(check_weight_unit(weight_g=grams, expected_g=usual)) is asks


def test_a_puppy_from_before_midnight_and_one_from_after_are_two_hours_apart(story):
    """The night of 29 March 2026 in Berlin: 23:30, then 02:30 that is 03:30."""
    zone = ZoneInfo("Europe/Berlin")
    first = datetime(2026, 3, 28, 23, 30, tzinfo=zone).astimezone(UTC)
    second = datetime(2026, 3, 29, 3, 30, tzinfo=zone).astimezone(UTC)
    assert second - first == timedelta(hours=3)
    start = (first - DAY_ZERO).total_seconds() / 86_400
    story.tell(start, f.PuppyBorn(puppy="p1", dam="fern"))
    night = whelping_night(book=story.book, handbook=HANDBOOK, dam="fern", now=second)
    (alert,) = night.alerts
    assert (alert.rule, alert.urgency.value) == ("gap", "call and ask")  # 2 h, not 4


def test_the_fall_of_temperature_is_dated_in_the_kennels_own_zone():
    """23:30 in Auckland is still the day before in UTC; birth is told in kennel days."""
    told = Story()
    told.tell(0, f.KennelDescribed(name="Far", time_zone="Pacific/Auckland"))
    told.pen("a")
    told.dog("fern")
    told.tell(0, f.CycleNoted(dam="fern", what="lh-surge"))
    zone = ZoneInfo("Pacific/Auckland")
    at = datetime(2026, 5, 5, 6, 0, tzinfo=zone)
    told.tell(
        (at - DAY_ZERO).total_seconds() / 86_400,
        f.TemperatureTaken(dog="fern", celsius=37.1),
    )
    plan = pregnancy_plan(
        book=told.book, handbook=HANDBOOK, dam="fern", on=date(2026, 5, 5)
    )
    assert plan.facts.temperature_drop.at.hour == 6
    assert plan.due.median == date(2026, 5, 6)  # 21.5 h on: 3:30 the next night


def test_a_puppys_file_says_what_is_missing_and_when_it_may_leave(story):
    """Eight weeks (England 2018); a chip number that cannot be right is said."""
    story.tell(0, f.Whelped(litter="l", name="March", dam="fern", born_alive=1))
    story.dog("pup", day=0, litter="l", dam="fern", born_on=DAY, chip="27600000000001")
    file = puppy_file(book=story.book, handbook=HANDBOOK, dog="pup", on=on(10))
    assert file.leaves.on == on(56)
    assert file.leaves.rule.source
    assert file.lacks == ("chip", "vaccination", "worming")
    assert "15 digits" in file.chip_doubt
    story.dog(
        "pup", day=20, litter="l", dam="fern", born_on=DAY, chip="276000000000001"
    )
    story.tell(42, f.Vaccinated(dog="pup", against=("parvovirus", "distemper")))
    story.tell(42, f.Wormed(dog="pup", note="by the vet"))
    file = puppy_file(book=story.book, handbook=HANDBOOK, dog="pup", on=on(43))
    assert str(file.chip) == "276000000000001"
    assert file.lacks == ()
    assert file.vaccinated[0].what == "parvovirus, distemper"


def test_the_day_of_leaving_follows_the_kennels_own_law(tmp_path):
    (tmp_path / "programmes").mkdir()
    (tmp_path / "overlay.toml").write_text('by = "Our county"\n')
    (tmp_path / "programmes" / "young.toml").write_text(
        "[values.leave_days]\n"
        'unit = "day"\nsays = "Nine weeks by our county"\nsource = "County rule 7"\n'
        "values = [{ from = 2026-01-01, value = 63 }]\n"
    )
    ours = load_handbook(overlays=[tmp_path])
    found = ready_to_leave(handbook=ours, born_on=DAY, on=on(1))
    assert found.on == on(63)
    assert found.rule.overlaid_by == "Our county"


def test_a_mating_cannot_have_been_more_than_a_season_before(story):
    from kennelward.kennel import Entry
    from kennelward.kennel.checks import check_entry

    fact = f.Mated(dam="fern", sire_outside="Stranger", first_possible_on=on(-60))
    entry = Entry(
        entry="new",
        kennel="kennel-1",
        fact=fact,
        happened_at=moment(0),
        recorded_at=moment(0),
        recorded_by="Ada",
    )
    with pytest.raises(BadInput, match="first possible day"):
        check_entry(story.book, entry, now=moment(1))


def test_gloves_come_before_keeping_dogs_apart_and_the_litter_goes_by_its_dam(story):
    """What protects people is the first word after a loss."""
    story.tell(0, f.KennelDescribed(name="Hill"))
    story.tell(
        0,
        f.Whelped(
            litter="l", name="Fern's litter", dam="fern", born_alive=3, stillborn=2
        ),
    )
    items = kennel_plan(book=story.book, handbook=HANDBOOK, on=on(1)).due.items
    urgent = [i.action for i in items if i.action.urgency == "now" and i.is_open]
    asked = [action.what for action in urgent]
    assert asked.index("keep-cool") < asked.index("keep-apart")
    said = " ".join(str(action.says) for action in urgent)
    assert "Fern and her litter" in said
    assert "Fern's litter" not in said
