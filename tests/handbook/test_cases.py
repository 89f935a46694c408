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


def _what_ifs() -> list[Any]:
    """Each `what_if` of each case, as a case of its own."""
    found = []
    for param in CASES:
        (case,) = param.values
        for then in case.get("what_if", ()):
            changed = {
                **case,
                "on": then.get("on", case["on"]),
                "dogs": {
                    dog: {**told, **then.get("dogs", {}).get(dog, {})}
                    for dog, told in case["dogs"].items()
                },
                "happened": [*case.get("happened", ()), *then.get("also", ())],
            }
            title = f"{param.id}, {then['title']}"
            found.append(pytest.param(case, changed, then["gone"], id=title))
    return found


@pytest.mark.parametrize(("case", "changed", "gone"), _what_ifs())
def test_what_if(
    case: dict[str, Any], changed: dict[str, Any], gone: list[str]
) -> None:
    """What was asked for is gone once it was done, or where the rule is not meant."""
    handbook = load_handbook()
    before = _asked(case, handbook)
    after = _asked(changed, handbook)
    for rule in gone:
        assert rule in before, f"never asked for: {rule}"
        left = before[rule] & after.get(rule, set())
        assert not left, f"still asked for: {rule}"


def _asked(case: dict[str, Any], handbook: Handbook) -> dict[str, set[tuple[str, int]]]:
    """Subjects and occurrences by rule; of work that comes round, what is due by now."""
    found: dict[str, set[tuple[str, int]]] = {}
    actions = _actions(case, handbook)
    begun = {a.rule.rule for a in actions if a.window.first <= day(case["on"])}
    for action in actions:
        rule = action.rule.rule
        if rule not in begun or action.window.first <= day(case["on"]):
            found.setdefault(rule, set()).add((action.subject, action.occurrence))
    return found


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
