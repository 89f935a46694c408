"""Every case file: the situation in, the expected actions out, the excluded ones absent."""

import tomllib
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from kennelward.handbook import Handbook, load_handbook
from kennelward.programme import Action, decide
from tests.handbook.case_book import DAY_ZERO, CaseBook, day

FOLDER = Path(__file__).with_name("cases")


def _cases() -> list[Any]:
    found = []
    for path in sorted(FOLDER.glob("*.toml")):
        for case in tomllib.loads(path.read_text(encoding="utf-8"))["case"]:
            found.append(pytest.param(case, id=f"{path.stem}: {case['title']}"))
    return found


CASES = _cases()


def _actions(case: dict[str, Any], handbook: Handbook) -> tuple[Action, ...]:
    on = day(case["on"])
    return decide(book=CaseBook(case).book, rules=handbook.programmes, on=on)


def _fits(action: Action, wanted: dict[str, Any]) -> bool:
    first = (action.window.first - DAY_ZERO).days
    last = (action.window.last - DAY_ZERO).days
    return (
        action.rule.rule == wanted["rule"]
        and wanted.get("about", action.subject) == action.subject
        and wanted.get("from", first) == first
        and wanted.get("by", last) == last
        and wanted.get("urgency", action.urgency) == action.urgency
        and set(wanted.get("cautions", ())) <= set(action.cautions)
        and wanted.get("says", "") in f"{action.says} {action.because}"
    )


@pytest.mark.parametrize("case", CASES)
def test_case(case: dict[str, Any]) -> None:
    """What the vet expects is there, and what must not be asked for is not."""
    actions = _actions(case, load_handbook())
    seen = "\n".join(
        f"  {a.rule.rule} about {a.subject}, day {(a.window.first - DAY_ZERO).days} to "
        f"{(a.window.last - DAY_ZERO).days}, {a.urgency}: {a.says}"
        for a in actions
    )
    for wanted in case.get("expected", ()):
        assert any(_fits(a, wanted) for a in actions), f"missing {wanted} in\n{seen}"
    for unwanted in case.get("absent", ()):
        wrong = [a for a in actions if _fits(a, unwanted)]
        assert not wrong, f"must not be asked for: {unwanted} in\n{seen}"


def test_there_are_enough_cases_and_each_expects_something() -> None:
    """Forty cases at least, and none that could pass on an empty answer."""
    assert len(CASES) >= 40
    for param in CASES:
        (case,) = param.values
        assert case.get("expected"), case["title"]


def test_rules_named_in_cases_exist() -> None:
    """A slip in a rule's name would make an `absent` pass for nothing."""
    known = {rule.id for rule in load_handbook().programmes.rules}
    for param in CASES:
        (case,) = param.values
        for named in (*case.get("expected", ()), *case.get("absent", ())):
            assert named["rule"] in known, case["title"]


def test_every_programme_has_a_case() -> None:
    """Each programme's rules are expected somewhere."""
    expected = {
        wanted["rule"].split(".")[0]
        for param in CASES
        for wanted in param.values[0].get("expected", ())
    }
    assert expected == set(load_handbook().programme_titles)


def test_day_zero_is_a_day() -> None:
    """Days count both ways from day 0."""
    assert day(-1) + timedelta(days=1) == DAY_ZERO
