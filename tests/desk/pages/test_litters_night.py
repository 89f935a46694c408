"""The whelping night: taken once, struck, put right, closed, and puppies that come late."""

import json
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from kennelward import desk
from kennelward.desk import clock
from kennelward.kennel import facts as f
from tests.desk.pages.conftest import NOW, text_of, the_dog
from tests.desk.pages.litters_steps import mara_writes, puppy, send, tap


def test_the_night_is_taken_once_however_often_it_is_sent(mara, juniper, book):
    """The phone sends, does not hear the answer, and sends all again."""
    taps = [tap(90, what="stage-one"), puppy(60), tap(55, what="placenta")]
    for _ in range(3):
        answer = send(mara, juniper, taps)
        told = answer.json()
        assert told["kept"] == [one["id"] for one in taps]
        assert told["refused"] == {}
        assert [one["id"] for one in told["night"]] == told["kept"]
    assert len(book().of(f.PuppyBorn)) == 1
    assert len(book().of(f.WhelpingNoted)) == 2
    assert "whelping now" in text_of(mara.get("/litters/"))


def test_a_bad_entry_is_named_and_the_good_ones_stay(mara, juniper, book):
    """A future time, an unknown sign, a weight of 3500 g at birth, a time without zone."""
    good = puppy(10)
    bad = [
        tap(-60, what="resting"),
        tap(5, what="moonrise"),
        puppy(5, weight_g=3500),
        puppy(5) | {"at": "2026-11-25T14:00:00"},
        puppy(5) | {"id": "x"},
        puppy(5) | {"at": "soon"},
    ]
    told = send(mara, juniper, [good, *bad]).json()
    assert told["kept"] == [good["id"]]
    assert set(told["refused"]) == {one["id"] for one in bad}
    assert all(told["refused"].values())
    assert len(book().of(f.PuppyBorn)) == 1


@pytest.mark.parametrize("body", ["{", "{}", "null", json.dumps([{}] * 201)])
def test_what_is_no_list_is_refused(mara, juniper, body):
    """Damaged, of another shape, or too long."""
    assert send(mara, juniper, body).status_code == 400


@pytest.mark.parametrize("body", ["[1]", "[null]", '[{"id": 3}]'])
def test_a_list_of_nonsense_breaks_nothing(mara, juniper, body, book):
    """Each is refused, none is written."""
    before = len(book().entries)
    answer = send(mara, juniper, body)
    assert answer.status_code == 200
    assert answer.json()["kept"] == []
    assert len(book().entries) == before


def close(client, dam, **said):
    """The night is over."""
    return client.post(
        f"/litters/night/{dam}/end/", {"entry": desk.new_id()} | said, follow=True
    )


def test_the_night_becomes_a_litter_with_dogs_and_weights(mara, juniper, book):
    """Across midnight: two alive, one stillborn, each with its time."""
    before = set(book().litters)
    first = puppy(900 + 65, weight_g=410, marking="red band")  # 22:55 the day before
    second = puppy(60, sex="", born="revived")
    taps = [first, second, puppy(30, born="stillborn", sex="")]
    send(mara, juniper, taps)
    assert "bitch or dog" in text_of(close(mara, juniper))
    entry = desk.new_id()
    said = {"entry": entry, "name": "L" * 200, f"sex-{second['id']}": "dog"}
    for _ in range(2):
        assert close(mara, juniper, **said).status_code == 200
    now = book()
    (made,) = set(now.litters) - before
    card = now.litters[made]
    assert (card.born_alive, card.stillborn, card.dam) == (2, 1, juniper)
    assert card.sire, "her matings name one sire"
    assert set(card.dogs) == {first["id"], second["id"]}
    pups = [now.dogs[first["id"]], now.dogs[second["id"]]]
    assert [p.described.sex for p in pups] == ["bitch", "dog"]
    assert [p.described.born_on for p in pups] == [
        date(2026, 11, 24),
        date(2026, 11, 25),
    ]
    assert all(p.is_here and p.pen == now.dogs[juniper].pen for p in pups)
    weights = [
        e.fact.weight_g for e in now.about(first["id"]) if e.fact.kind == "weighed"
    ]
    assert weights == [410]
    assert "Juniper in" not in text_of(mara.get("/litters/"))
    said = text_of(mara.get("/book/"))
    assert "red band" in said
    assert "410 g" in said


def test_a_night_without_a_puppy_makes_no_litter(mara, juniper, book):
    """Closed by mistake."""
    before = set(book().litters)
    send(mara, juniper, [tap(5, what="resting")])
    assert "no litter yet" in text_of(close(mara, juniper))
    assert set(book().litters) == before


def test_a_litter_of_fourteen(mara, juniper, book):
    """Nameless puppies get a number."""
    taps = [puppy(600 - 30 * n) for n in range(14)]
    send(mara, juniper, taps)
    page = close(mara, juniper, name="Great Wash")
    assert "Puppy 14" in text_of(page)
    assert max(len(card.dogs) for card in book().litters.values()) == 14


def strike(entry, minutes_ago=1):
    """An undo as a phone keeps it."""
    return tap(minutes_ago, what="strike", entry=entry["id"])


def night_page(client, dam):
    """The night's page."""
    return text_of(client.get(f"/litters/night/{dam}/"))


def test_undo_strikes_through_and_bring_back_strikes_the_strike(mara, juniper, book):
    """As in a paper book: both lines stay, and what counts follows."""
    slip, right = puppy(20), puppy(10)
    undone = strike(slip, 9)
    for _ in range(2):  # the answer is lost once
        told = send(mara, juniper, [slip, right, undone]).json()
        assert told["refused"] == {}
    assert slip["id"] in book().struck
    assert len(book().of(f.PuppyBorn)) == 1
    assert len(book().entries) == len({e.entry for e in book().entries})
    send(mara, juniper, [strike(undone, 5)])
    assert len(book().of(f.PuppyBorn)) == 2


def test_undo_reaches_only_this_night(mara, juniper, book):
    """A phone cannot strike another bitch's entry, nor anything else in the book."""
    other = the_dog(book(), "Saffron").dog
    theirs = puppy(10)
    send(mara, other, [theirs])
    elsewhere = book().of(f.Weighed)[-1].entry
    told = send(
        mara, juniper, [strike(theirs), strike({"id": elsewhere}), strike({"id": "x"})]
    ).json()
    assert told["kept"] == []
    assert len(told["refused"]) == 3
    assert not {theirs["id"], elsewhere} & book().struck


def test_a_helper_undoes_only_what_they_wrote(as_role, juniper, book):
    """The owner's tap stays; the page says by whom each is."""
    mine = puppy(10)
    send(as_role("owner"), juniper, [mine])
    told = send(as_role("hand"), juniper, [strike(mine)]).json()
    assert "only they or the owner" in next(iter(told["refused"].values()))
    assert mine["id"] not in book().struck
    (seen,) = told["night"]
    assert (seen["by"], seen["mine"]) == ("Mara", False)


def test_two_phones_undo_the_same_tap(mara, juniper, book):
    """The slower one is told that it is done."""
    slip = puppy(10)
    send(mara, juniper, [slip, strike(slip)])
    second = strike(slip)
    assert send(mara, juniper, [second]).json()["kept"] == [second["id"]]


def test_details_are_put_right_by_a_later_line(mara, juniper, book):
    """Sex and weight come after the birth; the puppy and its time stay the same."""
    first = puppy(30, sex="")
    better = puppy(30, marking="blue", weight_g=388, supersedes=first["id"])
    better |= {"puppy": first["id"], "at": first["at"]}
    send(mara, juniper, [first, better])
    (born,) = book().of(f.PuppyBorn)
    assert (born.fact.puppy, born.fact.weight_g) == (first["id"], 388)
    assert born.happened_at == NOW - timedelta(minutes=30)
    made = close(mara, juniper, name="Put Right")
    assert "blue" in text_of(made)


def test_another_phone_sees_who_wrote_what_and_when_it_came(mara, as_role, juniper):
    """A puppy of an hour ago that reaches the book now is marked so."""
    late = puppy(60)
    send(as_role("hand"), juniper, [late])
    (seen,) = send(mara, juniper, []).json()["night"]
    assert seen["by"] == "Jonas"
    assert seen["received"] == NOW.isoformat()
    assert seen["at"] == (NOW - timedelta(minutes=60)).isoformat()


def test_a_phone_whose_clock_is_wrong_is_put_right(mara, juniper, book):
    """Its clock runs 40 minutes ahead: the births land where they happened, once."""
    ahead = timedelta(minutes=40)
    first, second = puppy(-10), puppy(-35)  # 30 and 5 minutes ago by the desk
    for extra in (0, 3):  # the answer lost: sent again three seconds later
        said = {
            "phone_now": (NOW + ahead + timedelta(seconds=extra)).isoformat(),
            "entries": [first, second],
        }
        told = send(mara, juniper, json.dumps(said)).json()
        assert told["refused"] == {}
    moments = [entry.happened_at for entry in book().of(f.PuppyBorn)]
    assert moments == [NOW - timedelta(minutes=30), NOW - timedelta(minutes=5)]


@pytest.mark.parametrize("said", ["", "soon", "2026-11-25T15:00:00"])
def test_a_phone_that_does_not_say_its_time_is_believed(mara, juniper, book, said):
    """No correction; damaged ones break nothing."""
    body = json.dumps({"phone_now": said, "entries": [puppy(10)]})
    answer = send(mara, juniper, body)
    assert answer.status_code in (200, 400)
    assert len(book().of(f.PuppyBorn)) == (answer.status_code == 200)


def test_the_same_id_with_other_content_is_refused(mara, juniper, book):
    """Two different births never share an id."""
    one = puppy(10)
    send(mara, juniper, [one])
    told = send(mara, juniper, [one | {"sex": "dog"}]).json()
    assert "other content" in told["refused"][one["id"]]
    assert len(book().of(f.PuppyBorn)) == 1


def test_a_vet_logs_the_birth_and_leaves_the_litter_to_the_kennel(as_role, juniper):
    """Taps are taken; closing is not offered and not open."""
    vet = as_role("vet")
    told = send(vet, juniper, [puppy(10), tap(8, what="placenta")]).json()
    assert told["refused"] == {}
    page = night_page(vet, juniper)
    assert "The breeder closes the night" in page
    assert "Close the night" not in page
    assert vet.post(f"/litters/night/{juniper}/end/").status_code == 403


def test_twins_share_a_sac_and_need_one_placenta(mara, juniper):
    """Three puppies, two in one sac: two placentas are expected."""
    taps = [
        puppy(90),
        puppy(60),
        puppy(59, shares_sac=True),
        tap(50, what="placenta"),
    ]
    send(mara, juniper, taps)
    assert "Placentas / expected 1 / 2" in night_page(mara, juniper)
    assert "same sac" in text_of(mara.get("/book/"))


def test_a_page_without_its_script_takes_taps_as_a_form(mara, juniper, book):
    """A sign and a puppy, each once however often it is sent."""
    sign = {"entry_id": desk.new_id(), "what": "stage-one"}
    born = {"entry_id": desk.new_id(), "what": "puppy", "born": "alive"}
    born |= {"sex": "dog", "marking": "white foot", "weight_g": "371,5"}
    for _ in range(2):
        for said in (sign, born):
            answer = mara.post(f"/litters/night/{juniper}/sync/", said)
            assert answer.status_code == 302
    assert [e.fact.weight_g for e in book().of(f.PuppyBorn)] == [371.5]
    assert len(book().of(f.WhelpingNoted)) == 1
    assert "Puppy, white foot" in night_page(mara, juniper)
    mara.post(f"/litters/night/{juniper}/sync/", born | {"entry_id": "x"})
    assert len(book().of(f.PuppyBorn)) == 1


def test_a_clock_that_ran_out_is_said_without_a_script(mara, juniper):
    """Hard straining for 25 minutes; the minutes are the rule's own."""
    send(mara, juniper, [tap(25, what="hard-straining")])
    assert "Hard straining for 20 minutes and no puppy" in night_page(mara, juniper)


def test_a_puppy_from_another_phone_joins_the_litter_that_was_made(
    mara, as_role, juniper, book
):
    """Born before the night was closed, received after it; told, then added once."""
    send(mara, juniper, [puppy(120, marking="one"), puppy(90, marking="two")])
    made = close(mara, juniper, name="Three Oaks")
    litter = made.redirect_chain[-1][0].split("/")[2]
    late = puppy(100, marking="from the other phone", weight_g=402)
    send(as_role("hand"), juniper, [late])
    page = text_of(mara.get(f"/litters/{litter}/"))
    assert "came to the book after the litter was made" in page
    said = {"entry": desk.new_id()}
    for _ in range(2):
        assert mara.post(f"/litters/{litter}/late/", said).status_code == 302
    card = book().litters[litter]
    assert (card.born_alive, card.stillborn) == (3, 0)
    assert late["id"] in card.dogs
    assert card.name == "Three Oaks"
    assert "came to the book after" not in text_of(mara.get(f"/litters/{litter}/"))


def test_a_late_puppy_that_was_counted_already_is_not_counted_again(
    mara, juniper, book
):
    """The litter was written by hand with its counts; the phone wakes up later."""
    litter = desk.new_id()
    born = f.Whelped(litter=litter, name="By Hand", dam=juniper, born_alive=1)
    mara_writes(born, at=NOW - timedelta(hours=1))
    late = puppy(70, sex="dog")
    send(mara, juniper, [late])
    mara.post(f"/litters/{litter}/late/", {"entry": desk.new_id(), "counted": "yes"})
    card = book().litters[litter]
    assert (card.born_alive, card.dogs) == (1, (late["id"],))


def test_a_puppy_after_the_night_was_closed_joins_the_same_litter(
    mara, juniper, book, monkeypatch
):
    """She was not done: closing again adds to the litter and makes no second one."""
    before = set(book().litters)
    send(mara, juniper, [puppy(120)])
    close(mara, juniper, name="Last One")
    monkeypatch.setattr(clock, "now", lambda: NOW + timedelta(hours=1))
    send(mara, juniper, [puppy(-50, born="stillborn", sex="")])
    assert "join the litter that is in the book: Last One" in night_page(mara, juniper)
    again = {"entry": desk.new_id()}
    for _ in range(2):
        close(mara, juniper, **again)
    (litter,) = set(book().litters) - before
    card = book().litters[litter]
    assert (card.born_alive, card.stillborn) == (1, 1)


def test_a_night_across_midnight_and_the_change_of_the_clocks(
    mara, juniper, book, monkeypatch
):
    """Berlin: 23:50, and 02:30 twice an hour apart; each puppy has its own day."""
    kennel = book().kennel
    mara_writes(replace(kennel, time_zone="Europe/Berlin"))
    after = datetime(2027, 10, 31, 2, 0, tzinfo=UTC)  # 03:00, the clocks went back
    monkeypatch.setattr(clock, "now", lambda: after)
    moments = [
        datetime(2027, 10, 30, 21, 50, tzinfo=UTC),  # 23:50 on the 30th
        datetime(2027, 10, 31, 0, 30, tzinfo=UTC),  # 02:30 by summer time
        datetime(2027, 10, 31, 1, 30, tzinfo=UTC),  # 02:30 by winter time
    ]
    taps = [
        puppy(0, marking=str(n)) | {"at": at.isoformat()}
        for n, at in enumerate(moments)
    ]
    told = send(mara, juniper, list(reversed(taps))).json()
    assert [one["at"] for one in told["night"]] == [at.isoformat() for at in moments]
    page = night_page(mara, juniper)
    assert page.index("Sun 31 Oct, 02:30") < page.index("Sat 30 Oct, 23:50")
    before = set(book().litters)
    close(mara, juniper, name="Two Days")
    (litter,) = set(book().litters) - before
    born = [book().dogs[d].described.born_on for d in book().litters[litter].dogs]
    assert born == [date(2027, 10, 30), date(2027, 10, 31), date(2027, 10, 31)]
