"""Due: the list, an item with its why, and what can be said about it."""

import html
from datetime import timedelta

import pytest
from django.test import Client

from kennelward import desk
from kennelward.desk.pages.due import views
from kennelward.desk.pages.shell.here import Here
from kennelward.desk.pages.shell.templatetags.shell import words
from kennelward.kennel import facts as f
from kennelward.programme import Action, due_list
from kennelward.rounds import KennelPlan, kennel_plan
from kennelward.terms import DateWindow, Phrase, Provenance, RuleRef
from tests.desk.pages.bench_steps import write
from tests.desk.pages.conftest import NOW, text_of, the_dog

ON = NOW.date()


def action_for(subject, *, what="look", first=0, last=0, kind="dog", **more):
    """An action by a rule made for these tests."""
    rule = RuleRef(
        rule="births.look",
        programme="births",
        source="common practice, no source",
        provenance=Provenance.COMMON_PRACTICE,
        since=ON.replace(month=1, day=1),
    )
    return Action(
        rule=rule,
        subject=subject,
        subject_kind=kind,
        what=what,
        says=Phrase("Look at {dog}", {"dog": "it"}),
        because=Phrase("it was born"),
        window=DateWindow(ON + timedelta(days=first), ON + timedelta(days=last)),
        urgency=more.pop("urgency", "planned"),
        anchor=f"a-{what}-{first}",
        **more,
    )


@pytest.fixture
def planned(monkeypatch):
    """A function that puts actions in the place of the rules' own."""

    def put(*actions):
        def plan(place):
            due = due_list(actions, book=place.book, on=place.on)
            return KennelPlan(on=place.on, actions=actions, due=due)

        monkeypatch.setattr(Here, "plan", property(plan))
        return actions

    return put


def test_the_made_up_kennel_has_a_list(mara, book, demo):
    """What the rules ask for is shown, with its why."""
    plan = kennel_plan(book=book(), handbook=desk.handbook(demo), on=ON)
    items = [item for item in plan.due.items if item.is_open]
    page = html.unescape(text_of(mara.get("/due/")))
    for item in items[:20]:
        assert " ".join(words(item.action.says).split()) in page


def test_overdue_today_and_the_week_are_told_apart(mara, book, planned):
    """Each in its part, later ones on their own page."""
    dog = the_dog(book(), "Fern").dog
    planned(
        action_for(dog, first=-9, last=-4),
        action_for(dog, first=0, last=2, what="bath"),
        action_for(dog, first=3, last=4, what="weigh"),
        action_for(dog, first=30, last=33, what="scan"),
    )
    text = text_of(mara.get("/due/"))
    assert text.index("Overdue") < text.index("Today") < text.index("Within the week")
    assert "4 days ago" in text
    later = text_of(mara.get("/due/?show=later"))
    assert "in 30 days" in later
    assert "Overdue" not in later


def test_by_pen_is_the_walk_and_by_dog_is_by_name(mara, book, planned):
    """Two orders of one list."""
    dogs = [the_dog(book(), name) for name in ("Marigold", "Fern")]
    planned(*(action_for(card.dog) for card in dogs))
    by_dog = mara.get("/due/?by=dog").content.decode()
    assert by_dog.index("Fern</h3>") < by_dog.index("Marigold</h3>")
    by_pen = mara.get("/due/?by=pen").content.decode()
    for card in dogs:
        assert f"{book().name_of(card.pen)}</h3>" in by_pen


def test_one_dogs_list(mara, book, planned):
    """From a dog's page: its own, its litter's and its pen's."""
    fern, other = the_dog(book(), "Fern"), the_dog(book(), "Marigold")
    planned(
        action_for(fern.dog), action_for(other.dog, what="bath", kit=""),
        action_for(fern.pen, kind="pen", what="clean"),
    )  # fmt: skip
    text = text_of(mara.get(f"/due/?dog={fern.dog}"))
    assert "Due: Fern" in text
    assert "Marigold" not in text


def test_a_due_test_leads_to_bench_with_dog_and_kit(mara, book, planned):
    """One tap; it is not said to be done from the list."""
    dog = the_dog(book(), "Fern").dog
    planned(action_for(dog, what="test", kit="giardia-antigen"))
    page = mara.get("/due/").content.decode()
    assert f'href="/bench/{dog}/giardia-antigen/"' in page
    assert 'name="done"' not in page


def test_an_item_says_why_by_which_rule_and_source(mara, book, planned):
    """On tap, with its cautions."""
    dog = the_dog(book(), "Fern").dog
    (action,) = planned(action_for(dog, cautions=("gloves",)))
    page = text_of(mara.get("/due/item/", {"key": action.key}))
    assert "it was born" in page
    assert "Rule births.look of births" in page
    assert "Common practice; there is no source." in page
    assert "love" in page


def test_done_with_one_tap(mara, book, planned):
    """From the list; a second tap writes nothing more."""
    dog = the_dog(book(), "Fern").dog
    (action,) = planned(action_for(dog))
    value = f"{desk.new_id()} {action.key}"
    for _tap in range(2):
        assert mara.post("/due/done/", {"done": value})["Location"] == "/due/"
    assert [e.fact.key for e in book().of(f.DueDone)].count(action.key) == 1
    assert "Nothing is due this week" in text_of(mara.get("/due/"))
    assert "Look at it" in text_of(mara.get("/due/?show=said"))


@pytest.mark.parametrize(
    ("what", "kind", "beside"),
    [
        ("call-vet", "dog", f.VetCalled),
        ("bath", "dog", f.Bathed),
        ("clean", "pen", f.Cleaned),
        ("keep-apart", "dog", f.KeptApart),
        ("look", "dog", None),
    ],
)
def test_what_was_done_is_written_beside_the_word(
    mara, book, planned, what, kind, beside
):
    """A call is a call, a bath a bath: the book holds the fact itself."""
    card = the_dog(book(), "Fern")
    subject = card.pen if kind == "pen" else card.dog
    (action,) = planned(action_for(subject, what=what, kind=kind))
    before = len(book().entries)
    said = {"entry": desk.new_id(), "key": action.key, "note": "by Jonas"}
    mara.post("/due/done/", said)
    added = [e.fact for e in book().entries[before:]]
    assert isinstance(added[0], f.DueDone)
    assert [type(x) for x in added[1:]] == ([beside] if beside else [])


def test_a_litter_is_kept_apart_as_one(mara, book, planned):
    """Its dam and every puppy that is here, never a puppy without its dam."""
    litter = next(
        one
        for one in book().litters.values()
        if one.dogs and not any(book().dogs[d].apart for d in (one.dam, *one.dogs))
    )
    (action,) = planned(action_for(litter.litter, kind="litter", what="keep-apart"))
    mara.post("/due/done/", {"done": f"{desk.new_id()} {action.key}"})
    apart = {d.dog for d in book().dogs_here if d.apart is not None}
    unit = {d for d in (litter.dam, *litter.dogs) if book().dogs[d].is_here}
    assert unit
    assert unit <= apart


def test_put_off_comes_back_by_itself(mara, book, planned):
    """Until a day, with a reason; gone from the list until then."""
    dog = the_dog(book(), "Fern").dog
    (action,) = planned(action_for(dog))
    until = ON + timedelta(days=3)
    mara.post(
        "/due/put-off/",
        {
            "entry": desk.new_id(),
            "key": action.key,
            "until": until.isoformat(),
            "why": "vet comes on Saturday",
        },
    )
    fact = book().of(f.DuePutOff)[-1].fact
    assert (fact.key, fact.until) == (action.key, until)
    assert "vet comes on Saturday" in text_of(mara.get("/due/?show=said"))


@pytest.mark.parametrize(
    ("address", "said"),
    [
        ("put-off", {"until": "2026-11-25", "why": "later"}),
        ("put-off", {"until": "2026-11-01", "why": "later"}),
        ("put-off", {"until": "soon", "why": "later"}),
        ("put-off", {"until": "2026-12-01", "why": ""}),
        ("decline", {"why": ""}),
        ("decline", {"why": "x" * 5000}),
        ("decline", {"why": "a\x00b"}),
    ],
)
def test_without_a_day_to_come_and_a_reason_nothing_is_put_off(
    mara, book, planned, address, said
):
    """The page says what is missing."""
    dog = the_dog(book(), "Fern").dog
    (action,) = planned(action_for(dog))
    before = len(book().entries)
    answer = mara.post(
        f"/due/{address}/", {"entry": desk.new_id(), "key": action.key} | said
    )
    assert answer.status_code == 200
    assert "Not saved yet" in text_of(answer)
    assert len(book().entries) == before


def test_declined_stays_visible_with_its_reason(mara, book, planned):
    """Not doing it is an answer."""
    dog = the_dog(book(), "Fern").dog
    (action,) = planned(action_for(dog))
    mara.post(
        "/due/decline/",
        {"entry": desk.new_id(), "key": action.key, "why": "the vet said no"},
    )
    text = text_of(mara.get("/due/?show=said"))
    assert "the vet said no" in text
    assert "Not doing" in text


def test_what_is_no_longer_due_says_so(mara, book, planned):
    """Somebody else was quicker, or the rule ended."""
    planned()
    before = len(book().entries)
    for method, address in (
        ("get", "/due/item/?key=gone"),
        ("post", "/due/done/"),
        ("post", "/due/put-off/"),
        ("post", "/due/decline/"),
    ):
        said = {"key": "gone", "entry": desk.new_id()} if method == "post" else {}
        page = getattr(mara, method)(address, said, follow=True)
        assert "not due any more" in text_of(page)
    assert len(book().entries) == before


def test_two_people_answer_one_item(as_role, book, planned):
    """Both words are in the book; the later one holds."""
    dog = the_dog(book(), "Fern").dog
    (action,) = planned(action_for(dog))
    as_role("owner").post("/due/done/", {"done": f"{desk.new_id()} {action.key}"})
    as_role("hand").post(
        "/due/decline/",
        {"entry": desk.new_id(), "key": action.key, "why": "not needed"},
    )
    assert [e.fact.key for e in book().of(f.DueDone)].count(action.key) == 1
    assert [e.fact.key for e in book().of(f.DueDeclined)].count(action.key) == 1


@pytest.fixture
def course(mara, book, demo):
    """A course that runs today, as the vet wrote it: twice a day."""
    new = f.CourseWritten(
        course=desk.new_id(),
        dog=the_dog(book(), "Fern").dog,
        text="one tablet with food, morning and evening",
        prescribed_by="Dr Holm",
        starts_on=ON - timedelta(days=1),
        ends_on=ON + timedelta(days=3),
        times_a_day=2,
    )
    write(demo, new, at=NOW)
    return new


def test_todays_givings_are_ticked_once(mara, book, course):
    """One tap a giving; a second tap, or a second person, ticks nothing more."""
    assert course.text in mara.get("/due/").content.decode()
    for entry in (desk.new_id(), desk.new_id()):
        mara.post("/due/tick/", {"given": f"{entry} {course.course} 2"})
    given = [
        (e.fact.day, e.fact.nth)
        for e in book().of(f.GivenTicked)
        if e.fact.course == course.course
    ]
    assert given == [(ON, 2)]


@pytest.mark.parametrize("given", ["", "x", "x y z", "{id} nothing 1", "{id} {c} 99"])
def test_a_damaged_tick_writes_nothing(mara, book, course, given):
    """Nonsense, an unknown course, a giving the vet never wrote."""
    before = len(book().entries)
    said = given.format(id=desk.new_id(), c=course.course)
    assert mara.post("/due/tick/", {"given": said}).status_code == 302
    assert len(book().entries) == before


@pytest.mark.parametrize("back", ["//elsewhere.example/", "/setup/", "javascript:1"])
def test_back_leads_nowhere_else(mara, book, planned, back):
    """Only to the list or to the page after a round."""
    dog = the_dog(book(), "Fern").dog
    (action,) = planned(action_for(dog))
    answer = mara.post(
        "/due/done/", {"done": f"{desk.new_id()} {action.key}", "back": back}
    )
    assert answer["Location"] == "/due/"


def test_a_long_list_comes_in_pages(mara, book, planned):
    """A page holds so many; the next one is a tap away."""
    dog = the_dog(book(), "Fern").dog
    planned(
        *(
            action_for(dog, what=f"look-{n}", first=20, last=20)
            for n in range(views.PAGE_SIZE + 5)
        )
    )
    page = mara.get("/due/?show=later")
    assert page.content.decode().count('class="due-what"') == views.PAGE_SIZE
    second = mara.get("/due/?show=later&page=2")
    assert second.content.decode().count('class="due-what"') == 5


def test_the_list_is_for_people_of_the_kennel(db, demo):
    """Nobody else."""
    assert Client().get("/due/")["Location"].startswith("/account/login/")
