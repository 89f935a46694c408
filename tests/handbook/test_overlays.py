"""A kennel's or a vet's own numbers are laid over ours, checked, and shown as theirs."""

from datetime import date
from pathlib import Path

import pytest

from kennelward.handbook import Handbook, HandbookError, load_handbook
from kennelward.programme import decide, explain
from kennelward.terms import Provenance
from tests.handbook.case_book import CaseBook, day

BY = "Dr Ward"
FIFTY_SIX = """
[values.clearing_days]
unit = "day"
says = "Our local rule"
source = "Dr Ward, letter of 1 February 2026"
values = [{ from = 2026-02-01, value = 56 }]
"""
OWN_LEAFLET = """
[values.read_from_minutes]
unit = "minute"
says = "As our leaflet says"
source = "leaflet of our kit"
values = [{ from = 2026-02-01, value = 8 }]

[[performances]]
situation = { says = "our kit's own figures" }
sensitivity = { found = 45, of = 50, source = "leaflet of our kit" }
specificity = { found = 98, of = 100, source = "leaflet of our kit" }
"""
ARRIVAL = {
    "dogs": {
        "ada": {"origin": "bought", "is_breeding": True, "here_since": 0, "pen": ""}
    },
    "happened": [
        {"day": 0, "what": "arrived", "dog": "ada", "pen": "home"},
    ],
}


def folder(tmp_path: Path, **files: str) -> Path:
    """An overlay folder; names such as kits__relaxin stand for kits/relaxin.toml."""
    made = tmp_path / "ours"
    made.mkdir()
    for name, content in {"overlay": f'by = "{BY}"\n', **files}.items():
        path = made / f"{name.replace('__', '/')}.toml"
        path.parent.mkdir(exist_ok=True)
        path.write_text(content, encoding="utf-8")
    return made


def clearing_day(handbook: Handbook) -> int:
    """Days after arrival from which the clearing sample counts."""
    book = CaseBook(ARRIVAL).book
    (found,) = (
        action
        for action in decide(book=book, rules=handbook.programmes, on=day(1))
        if action.rule.rule == "arrivals.brucella-clearing"
    )
    return (found.window.first - day(0)).days


def test_the_vets_own_interval_moves_the_date_and_is_shown_as_theirs(
    tmp_path: Path,
) -> None:
    """84 days become 56, in rules and in the window of a result, with the vet's name."""
    theirs = load_handbook(overlays=[folder(tmp_path, agents__brucella=FIFTY_SIX)])
    assert clearing_day(load_handbook()) == 84
    assert clearing_day(theirs) == 56
    value = theirs.infections["brucella"].values["clearing_days"].latest
    assert (value.overlaid_by, value.provenance) == (BY, Provenance.USER)
    assert theirs.kits["brucella-antibody"].windows[0].last == 55
    rule = theirs.programmes.find("arrivals.brucella-clearing")
    untouched = theirs.programmes.find("arrivals.giardia-second-test")
    assert rule is not None
    assert rule.ref.overlaid_by == BY
    assert untouched is not None
    assert not untouched.ref.overlaid_by


def test_their_rule_explains_itself_as_theirs(tmp_path: Path) -> None:
    """The words behind the action name the vet."""
    theirs = load_handbook(overlays=[folder(tmp_path, agents__brucella=FIFTY_SIX)])
    book = CaseBook(ARRIVAL).book
    for action in decide(book=book, rules=theirs.programmes, on=day(1)):
        if action.rule.rule == "arrivals.brucella-clearing":
            assert BY in str(explain(action).by_rule)
            return
    pytest.fail("no clearing sample asked for")


def test_ours_holds_before_their_day(tmp_path: Path) -> None:
    """An overlay takes force on its day; before it ours stands."""
    theirs = load_handbook(overlays=[folder(tmp_path, agents__brucella=FIFTY_SIX)])
    value = theirs.infections["brucella"].values["clearing_days"]
    assert value.on(date(2026, 1, 31)).value == 84
    assert value.on(date(2026, 2, 1)).value == 56


def test_the_kits_own_leaflet_comes_first(tmp_path: Path) -> None:
    """Counts from the own leaflet are used before ours: Beta(k + 1, n - k + 1)."""
    made = folder(tmp_path, **{"kits__giardia-antigen": OWN_LEAFLET})
    kit = load_handbook(overlays=[made]).kits["giardia-antigen"]
    first = kit.performances[0]
    assert first.sensitivity.mean == pytest.approx(46 / 52)
    assert first.specificity.mean == pytest.approx(99 / 102)
    assert kit.read_from_minutes == 8
    assert kit.overlaid_by == BY


def test_the_hash_tells_overlays_apart(tmp_path: Path) -> None:
    """A due list kept under the old handbook is not shown for the new one."""
    ours = load_handbook()
    theirs = load_handbook(overlays=[folder(tmp_path, agents__brucella=FIFTY_SIX)])
    assert ours.hash == load_handbook().hash
    assert ours.hash != theirs.hash
    assert theirs.overlays == (BY,)
    shown = [path for path, value in theirs.values() if value.overlaid_by == BY]
    assert shown == ["brucella.clearing_days"]


WRONG = [  # files, words of the message
    ({"overlay": ""}, ("overlay.toml", "by", "missing")),
    (
        {"agents__brucella": FIFTY_SIX.replace("value = 56", "value = -1")},
        ("agents/brucella.toml", "clearing_days", "got -1"),
    ),
    (
        {"agents__brucella": FIFTY_SIX.replace('"day"', '"week"')},
        ("clearing_days.unit", "must stay 'day'"),
    ),
    (
        {"agents__brucella": FIFTY_SIX.replace("clearing_days", "clearing_time")},
        ("clearing_time", "no such value", "clearing_days"),
    ),
    ({"agents__plague": FIFTY_SIX}, ("agents/plague.toml", "lay over")),
    ({"notes": "x = 1"}, ("notes.toml", "one of the folders")),
    (
        {"agents__brucella": FIFTY_SIX + "\n[cleaning]\nx = 1\n"},
        ("agents/brucella.toml", "cleaning", "not known"),
    ),
    ({"agents__brucella": "x = "}, ("agents/brucella.toml", "not TOML")),
]


@pytest.mark.parametrize(("files", "words"), WRONG)
def test_a_wrong_overlay_is_refused(
    tmp_path: Path, files: dict[str, str], words: tuple[str, ...]
) -> None:
    """Validated like our own files; the message says where and what to do."""
    with pytest.raises(HandbookError) as caught:
        load_handbook(overlays=[folder(tmp_path, **files)])
    for word in words:
        assert word in str(caught.value)


def test_a_folder_that_is_not_there_is_named(tmp_path: Path) -> None:
    """Not passed over in silence."""
    with pytest.raises(HandbookError, match="no such overlay folder"):
        load_handbook(overlays=[tmp_path / "gone"])
