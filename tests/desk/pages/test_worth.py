"""What a result is worth, on its page: three cases, a kit's figures, prices, own results."""

import re
from datetime import UTC, datetime, timedelta

import pytest

from kennelward import desk
from kennelward.kennel import facts as f
from tests.desk.pages.bench_steps import type_leaflet, write
from tests.desk.pages.conftest import NOW, text_of

KIT = "giardia-antigen"
COUNTS = {
    "situation": "any dog",
    "infected_found": 58,
    "infected_tested": 60,
    "clean_negative": 99,
    "clean_tested": 100,
    "said_by": "leaflet",
}


def about(dog: str, fact: f.Fact) -> f.Fact:
    """The fact with the dog's id where it says "DOG"."""
    told = {
        field: getattr(fact, field)
        for field in fact.__dataclass_fields__
        if field != "kind"
    }
    return type(fact)(**{k: dog if v == "DOG" else v for k, v in told.items()})


@pytest.fixture
def told(demo):
    """A function that writes a new dog with its history and gives its strip's id."""

    def tell(
        name: str,
        *facts: f.Fact,
        kit: str,
        call: str,
        born: datetime,
        sample: str = "faeces",
        days_ago: float = 0.1,
        **described: object,
    ) -> str:
        dog, test = desk.new_id(), desk.new_id()
        start = NOW - timedelta(days=days_ago)
        type_leaflet(demo, at=NOW - timedelta(days=30), kit=kit, samples=(sample,))
        long_ago = NOW - timedelta(days=29)
        write(
            demo,
            f.DogDescribed(
                dog=dog, name=name, sex="bitch", born_on=born.date(), **described
            ),
            at=NOW,
            happened_at=long_ago,
        )
        pens = desk.new_id()
        write(
            demo,
            f.PenDescribed(pen=pens, name=f"Box of {name}", pen_kind="isolation"),
            at=NOW,
            happened_at=long_ago,
        )
        write(demo, f.Moved(dog=dog, pen=pens), at=NOW, happened_at=long_ago)
        for number, fact in enumerate(facts):
            moment = start - timedelta(hours=12 - number)
            write(demo, about(dog, fact), at=NOW, happened_at=moment)
        write(
            demo,
            f.TestStarted(test=test, dog=dog, kit=kit, sample=sample),
            at=NOW,
            happened_at=start,
        )
        faint = call == "faint"
        write(
            demo,
            f.StripSeen(
                test=test,
                call="positive" if faint else call,
                is_faint=faint,
                minutes=7,
            ),
            at=NOW,
            happened_at=start + timedelta(minutes=7),
        )
        return test

    return tell


def page_of(client, test: str) -> str:
    """The result page as a person reads it."""
    text = text_of(client.get(f"/bench/test/{test}/"))
    return re.sub(r" ([.,;])", r"\1", text)


def test_a_faint_giardia_line_and_the_vets_negative_flotation_stand_together(
    mara, told
):
    """The strip outweighs one flotation; the puppy stays apart whatever comes."""
    test = told(
        "Wren",
        f.Observed(dog="DOG", signs=("soft-stool",)),
        f.OtherResult(
            dog="DOG",
            infection="giardia",
            method="flotation",
            call="negative",
            sampled_on=(NOW - timedelta(days=1)).date(),
        ),
        kit=KIT,
        call="faint",
        born=datetime(2026, 9, 20, tzinfo=UTC),
    )
    text = page_of(mara, test)
    now, before = re.search(
        r"Of 100 dogs like this one, about (\d+) would have the infection .*?"
        r"before any test it was about (\d+)",
        text,
    ).groups()
    assert int(now) > 80 > int(before)
    assert "Flotation under the microscope: negative" in text
    assert "Two tests differ." in text
    assert re.search(r"no certain yes: of 100 .*? about \d+ would not have it", text)
    assert "Infected does not mean that Giardia is the cause" in text
    today = re.search(r"Today, without another test: ([\w ]+)\.", text).group(1)
    assert "keep apart" in today
    assert "go on as usual." not in text.partition("What another test would change")[2]


def test_a_negative_parvo_strip_on_a_sick_unvaccinated_puppy_reassures_nobody(
    mara, told
):
    test = told(
        "Rook",
        f.Vaccinated(dog="DOG", against=("distemper",)),
        f.Observed(dog="DOG", signs=("vomiting", "listless")),
        kit="parvovirus-antigen",
        call="negative",
        born=datetime(2026, 9, 20, tzinfo=UTC),
    )
    text = page_of(mara, test)
    now = int(re.search(r"about (\d+) would have the infection", text).group(1))
    assert 15 <= now <= 40  # C10: about one negative in three is wrong at Se .50
    assert f"about {now} would have it all the same" in text
    assert "It changes nothing for a dog with signs" in text
    assert "Today, without another test: keep apart and ask the vet." in text
    assert "go on as usual." not in text.partition("What another test would change")[2]


def test_a_negative_brucella_strip_on_a_new_bitch_is_provisional(mara, told, demo):
    """Before day 84 it moves nothing, and no step less than apart is named."""
    test = told(
        "Nell",
        f.Arrived(
            dog="DOG",
            pen=desk.snapshot(demo).dogs_here[0].pen,
            source="breeder",
            last_outside_contact_on=(NOW - timedelta(days=10)).date(),
        ),
        kit="brucella-antibody",
        call="negative",
        born=datetime(2024, 5, 1, tzinfo=UTC),
        sample="blood",
        origin="bought",
        is_breeding=True,
    )
    text = page_of(mara, test)
    assert "This result moves nothing yet." in text
    assert "No result counts yet." in text
    assert "no mating and no semen" in text
    assert "Today, without another test: keep apart." in text
    assert "It clears no breeding dog" in text


def test_the_leaflets_figures_are_typed_used_and_shown_beside_the_handbooks(
    mara, told, demo
):
    test = told(
        "Wren", kit=KIT, call="positive", born=datetime(2026, 9, 20, tzinfo=UTC)
    )
    before = page_of(mara, test)
    assert "By the handbook's figures instead" not in before
    answer = mara.post(f"/worth/figures/{KIT}/", COUNTS | {"entry": desk.new_id()})
    assert answer.status_code == 302
    shown = text_of(mara.get(f"/worth/figures/{KIT}/"))
    assert "handbook" in shown
    assert "your leaflet" in shown
    after = page_of(mara, test)
    assert "By the handbook's figures instead of your leaflet's:" in after
    held = desk.snapshot(demo).of(f.LeafletFigures)
    assert held[-1].fact.infected_found == 58
    assert "positive in 58 of 60 that had it" in text_of(mara.get("/book/"))


def test_more_right_than_tested_is_refused_at_the_field(mara, demo):
    wrong = COUNTS | {"infected_found": 40, "infected_tested": 30}
    answer = mara.post(f"/worth/figures/{KIT}/", wrong | {"entry": desk.new_id()})
    assert "40 of 30 cannot be; from 0 to 30 is allowed." in text_of(answer)
    assert not desk.snapshot(demo).of(f.LeafletFigures)


def test_a_hand_may_not_type_figures_and_the_vet_may(as_role):
    assert as_role("hand").get(f"/worth/figures/{KIT}/").status_code == 403
    assert as_role("vet").get(f"/worth/figures/{KIT}/").status_code == 200
    answer = as_role("vet").post(
        f"/worth/figures/{KIT}/", COUNTS | {"entry": desk.new_id(), "said_by": "vet"}
    )
    assert answer.status_code == 302


def test_prices_of_a_mistake_start_as_assumed_and_are_then_ones_own(mara, demo):
    page = mara.get("/worth/prices/giardia/")
    assert "These are assumed" in text_of(page)
    said = {
        "missed_infected": "300.00",
        "apart_clean": "20",
        "apart_infected": "80",
        "act_clean": "90",
        "act_infected": "70",
        "entry": desk.new_id(),
    }
    assert mara.post("/worth/prices/giardia/", said).status_code == 302
    assert desk.snapshot(demo).of(f.HarmsSaid)[-1].fact.missed_infected_cents == 30_000
    assert "These are assumed" not in text_of(mara.get("/worth/prices/giardia/"))
    assert mara.get("/worth/prices/pregnancy/").status_code == 404
    assert "an infected dog missed 300.00" not in text_of(mara.get("/book/"))
    assert "missed although it has it 300.00" in text_of(mara.get("/book/"))


def test_our_own_results_say_what_they_are_of_and_refuse_with_a_reason(mara):
    text = text_of(mara.get("/worth/"))
    assert "dogs positive" in text
    assert "The data cannot tell." in text
    assert "They are not shares of the whole kennel." in text


def test_the_dogs_page_has_the_story_and_the_next_step(mara, told, demo):
    test = told(
        "Wren", kit=KIT, call="positive", born=datetime(2026, 9, 20, tzinfo=UTC)
    )
    dog = desk.snapshot(demo).tests[test].dog
    text = text_of(mara.get(f"/dogs/{dog}/"))
    assert "How it came to this" in text
    assert "What next: " in text


def panels_of(client, demo, name: str) -> str:
    """The page of a made-up dog, which holds a panel for each infection."""
    dog = next(d.dog for d in desk.snapshot(demo).dogs_here if d.name == name)
    return re.sub(r" ([.,;:])", r"\1", text_of(client.get(f"/dogs/{dog}/")))


def test_no_page_orders_to_go_on_as_usual(mara, demo):
    """A negative with signs, a dog in quarantine, a contact, a cleared resident."""
    for name in ("Thistle", "Nettle", "Burr", "Clover", "Willow"):
        text = panels_of(mara, demo, name)
        assert "go on as usual" not in text
        assert "about less than" not in text


def test_a_loose_stool_with_a_negative_strip_is_apart_and_watched(mara, demo):
    text = panels_of(mara, demo, "Thistle")
    assert "It has signs: apart and watched" in text
    assert "Today, without another test: keep apart." in text
    assert "the sums ask for nothing more" not in text.lower()


def test_one_dog_has_one_order(mara, demo):
    text = panels_of(mara, demo, "Nettle")
    assert "What next: keep apart" in text
    assert "What next: nothing more" not in text
    assert "That is not on account of" in text


def test_a_healthy_contact_is_offered_no_parvovirus_strip_and_one_number(mara, demo):
    text = panels_of(mara, demo, "Burr")
    assert "It has no signs. A strip finds hardly any healthy dog" in text
    assert "The middle of what it may be is 6" in text
    assert "Positive would leave" not in text


def test_a_cleared_resident_is_told_narrowly_and_its_due_list_stands(mara, demo):
    text = panels_of(mara, demo, "Clover")
    assert re.search(
        r"The sums ask for nothing more on account of \S*.*?; what is due for this dog",
        text,
    )
    assert "less than 0.1 in 100" in text
    assert "Then: keep apart and ask the vet, or nothing more on its account" in text
