"""What may happen, on the desk: asking, watching, stopping, the answer and its words."""

import re

import pytest

from kennelward.desk import tasks
from kennelward.desk.pages.foresee.labels import NUMBER_LABELS, PRICE_LABELS
from kennelward.desk.records.models import Kennel
from kennelward.desk.task_worker import FORESEE, foresee
from kennelward.rounds.policy_changes import WORDS
from kennelward.spread.policies import PRICE_NAMES
from tests.desk.pages.conftest import NOW, text_of

SMALL = {"days": 21, "worlds": 2, "runs": 2}  # enough to have every part of an answer


@pytest.fixture(autouse=True)
def _no_process(monkeypatch):
    """No worker is started; tests do the work themselves."""
    monkeypatch.setattr(tasks, "start_worker", lambda: None)


def sent(client, **said):
    """The form as the page sends it, with what a test changes."""
    infection = said.get("infection", "parvovirus")
    page = client.get(f"/what-may-happen/?about={infection}").content.decode()
    chosen = {
        f"now_{kind}": re.search(
            rf'name="now_{kind}".*?<option value="([^"]+)"', page, re.S
        ).group(1)
        for kind in ("arrivals", "visits", "sick", "outbreak")
    }
    usual = {"infection": infection, "by": "sick_days", "floor": "floor"}
    return client.post("/what-may-happen/ask/", {**usual, **chosen, **said})


def answered(kennel, infection, **asked):
    """An answer worked out at once; gives its task."""
    name = tasks.ask(
        FORESEE, {"infection": infection, **SMALL, **asked}, kennel=kennel, by="Mara"
    )
    tasks.work({FORESEE: foresee})
    found = tasks.task(name, kennel=kennel)
    assert found.state == "done", found.says
    return found


@pytest.mark.parametrize("role", ["owner", "hand", "vet"])
@pytest.mark.parametrize("infection", ["parvovirus", "giardia", "brucella"])
def test_the_form_opens_for_every_role(as_role, role, infection):
    answer = as_role(role).get(f"/what-may-happen/?about={infection}")
    assert answer.status_code == 200
    assert "What you do now" in text_of(answer)


def test_people_come_first_for_brucella(mara):
    """Before any choice: people can catch it, and a carrier is not kept by a plan."""
    text = text_of(mara.get("/what-may-happen/?about=brucella"))
    assert text.index("vet before you choose") < text.index("What you do now")
    assert "infect people" in text or "people can catch" in text.lower()


def test_an_unknown_infection_is_not_found(mara):
    assert mara.get("/what-may-happen/?about=rabies").status_code == 404
    assert sent(mara, infection="parvovirus").status_code == 302


def test_asking_waits_in_the_row_and_shows_how_far_it_is(mara, demo):
    answer = sent(mara, own_days="10", own_test_1="8", price_sick_day="60")
    assert answer.status_code == 302
    page = mara.get(answer["Location"])
    assert "Waiting for its turn" in text_of(page)
    assert '<meta http-equiv="refresh"' in page.content.decode()
    assert "<progress" in page.content.decode()
    asked = tasks.tasks(FORESEE, kennel=demo)[0].asked
    assert asked["own_days"] == 10
    assert asked["own_tests"] == [8]
    assert asked["prices"] == {"sick_day": 6000}


def test_days_of_a_ready_policy_can_be_changed_and_come_back(mara, demo):
    """Only what was changed is kept; asking again begins with it."""
    key = "change|quarantine-14|0|days"
    page = mara.get("/what-may-happen/?about=parvovirus").content.decode()
    assert f'name="{key}"' in page
    address = sent(mara, **{key: "21", "price_sick_day": "30"}).url
    task = address.rstrip("/").split("/")[-1]
    asked = next(t for t in tasks.tasks(FORESEE, kennel=demo) if t.task == task).asked
    assert asked["changes"] == [["quarantine-14", 0, "days", 21]]
    again = mara.get(f"/what-may-happen/?about=parvovirus&like={task}")
    form = again.context["form"]
    assert form[key].value() == 21
    assert form["price_sick_day"].value() == 30
    assert sent(mara, **{key: "4000"}).status_code == 422


def test_stop(mara, demo):
    address = sent(mara)["Location"]
    assert mara.post(f"{address}stop/").status_code == 302
    text = text_of(mara.get(address))
    assert "It was stopped" in text
    assert "Nothing of it was kept" in text


def test_two_at_a_time(mara, demo):
    sent(mara)
    sent(mara)
    answer = sent(mara)
    assert len(tasks.tasks(FORESEE, kennel=demo)) == 2
    assert "Two questions are being worked on" in text_of(mara.get(answer["Location"]))


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"own_test_1": "3"}, "Say for how many days, too"),
        ({"days": "2"}, "greater than or equal to 7"),
        ({"price_test": "-1"}, "greater than or equal to 0"),
        ({"now_sick": "sing"}, "not one of the available choices"),
    ],
)
def test_what_cannot_be_is_said_at_its_place(mara, demo, wrong, message):
    answer = sent(mara, **wrong)
    assert answer.status_code == 422
    assert message in text_of(answer)
    assert tasks.tasks(FORESEE, kennel=demo) == []


def test_an_empty_kennel_is_told_to_enter_dogs(fresh):
    answer = sent(fresh)
    assert answer.status_code == 422
    assert "enter the dogs that are here" in text_of(answer)


@pytest.mark.slow
@pytest.mark.parametrize("infection", ["parvovirus", "giardia", "brucella"])
def test_the_answer_in_figures_words_and_pictures(mara, demo, infection):
    page = mara.get(f"/what-may-happen/{answered(demo, infection).task}/")
    html, text = page.content.decode(), text_of(page)
    assert "simulated" in text
    assert "what you do now" in text
    assert 'class="fan"' in html
    assert html.count('role="img"') == html.count("aria-label=") - html.count("<nav")
    assert "As a table" in text
    assert "our guess" in text
    assert "published" in text
    assert "never worked out from one outbreak" in text
    assert "not a forecast" in text
    assert '<meta http-equiv="refresh"' not in html


@pytest.mark.slow
def test_brucella_warns_before_any_figure(mara, demo):
    text = text_of(mara.get(f"/what-may-happen/{answered(demo, 'brucella').task}/"))
    assert text.index("Call your vet" if "Call your vet" in text else "people") < (
        text.index("Plans side by side")
    )
    assert "nobody has measured it" in text


FORBIDDEN = (  # section 5 of the model's specification: what it must not claim
    r"\bfree of\b", r"\bis safe\b", r"\bcured?\b", r"\bmg\b", r"\bdose\b",
    r"\beuthan", r"\boutlook\b", r"\bguarantee", r"\bwill get\b",
    r"\bR0\b", r"\bp-value\b", r"\bcalibrated\b",
)  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("infection", ["parvovirus", "brucella"])
def test_no_claim_beyond_what_it_can_say(mara, demo, infection):
    text = text_of(mara.get(f"/what-may-happen/{answered(demo, infection).task}/"))
    for claim in FORBIDDEN:
        assert not re.search(claim, text, re.I), claim


@pytest.mark.slow
def test_the_same_question_gives_the_same_answer(demo):
    one, other = (answered(demo, "parvovirus").answer for _ in range(2))
    assert one == other


def test_nobody_looks_in_without_a_name(client, demo):
    answer = client.get("/what-may-happen/")
    assert answer["Location"].startswith("/account/login/")


def test_another_kennels_answer_is_not_found(mara, demo):
    other = Kennel.objects.create(pk="another", made_at=NOW)
    name = tasks.ask(FORESEE, {"infection": "giardia"}, kennel=other.pk, by="x")
    assert mara.get(f"/what-may-happen/{name}/").status_code == 404
    assert mara.post(f"/what-may-happen/{name}/stop/").status_code == 404


def test_every_price_and_number_of_the_simulator_has_a_field_and_words():
    """The page's labels and the core's tables are apart; they name the same things."""
    assert set(PRICE_LABELS) == set(PRICE_NAMES)
    assert set(NUMBER_LABELS) == set(WORDS)
