"""The user's own numbers in the ready policies."""

import pytest

from kennelward.handbook import load_handbook
from kennelward.rounds.plan_outbreak import ready_policies
from kennelward.rounds.policy_changes import Change, open_numbers, with_changes
from kennelward.terms import BadInput

INFECTIONS = ("parvovirus", "giardia", "brucella")


@pytest.fixture(scope="module")
def handbook():
    return load_handbook()


@pytest.mark.parametrize("infection", INFECTIONS)
def test_without_a_change_the_policies_are_the_handbooks(handbook, infection):
    ready = ready_policies(handbook, infection)
    same = [change for policy in ready for change in open_numbers(policy)]
    assert with_changes(ready, same) == ready


def test_a_change_reaches_the_rule_and_the_words(handbook):
    ready = ready_policies(handbook, "parvovirus")
    change = Change(policy="quarantine-14", rule=0, field="days", value=21)
    found = {p.id: p for p in with_changes(ready, [change])}["quarantine-14"]
    assert found.rules[0].days == 21
    assert found.says == "New dogs stay apart for 21 days (your numbers)"
    assert found.is_own


@pytest.mark.parametrize("infection", INFECTIONS)
def test_every_open_number_can_be_changed_and_said(handbook, infection):
    ready = ready_policies(handbook, infection)
    for policy in ready:
        for one in open_numbers(policy):
            made = Change(
                policy=one.policy, rule=one.rule, field=one.field, value=one.value + 3
            )
            changed = {p.id: p for p in with_changes(ready, [made])}[policy.id]
            assert getattr(changed.rules[one.rule], one.field) == one.value + 3
            assert "your numbers" in changed.says
            assert f"{one.value + 3:g}" in changed.says


@pytest.mark.parametrize(
    "change",
    [
        Change(policy="none-such", rule=0, field="days", value=3),
        Change(policy="quarantine-14", rule=7, field="days", value=3),
        Change(policy="quarantine-14", rule=0, field="trigger", value=3),
        Change(policy="quarantine-14", rule=0, field="days", value=99_999),
    ],
)
def test_what_cannot_be_is_refused(handbook, change):
    with pytest.raises(BadInput):
        with_changes(ready_policies(handbook, "parvovirus"), [change])
