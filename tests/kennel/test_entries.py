"""Entries survive being written and read, and the chain shows any change."""

import uuid
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kennelward.kennel import (
    FIRST_LINK,
    Entry,
    entry_as_json,
    entry_from_json,
    fact_from_json,
    facts_as_json,
    link,
    uuid7,
)
from kennelward.kennel import facts as f
from kennelward.terms import BadInput
from tests.kennel.making import moment

ADA = {
    "kennel": "k",
    "happened_at": moment(0),
    "recorded_at": moment(0),
    "recorded_by": "Ada",
}


@given(
    text=st.text(
        st.characters(exclude_characters="\x00", exclude_categories=["Cs"]),
        min_size=1,
        max_size=50,
    ).filter(str.strip)
)
def test_any_text_comes_back_as_it_was(text):
    entry = Entry(entry="e", fact=f.Noted(about="x", text=text), **ADA)
    assert entry_from_json(entry_as_json(entry)) == entry


@pytest.mark.parametrize("kind", sorted(f.KINDS))
def test_every_kind_can_be_read_by_name(kind):
    """A kind's name, class and stored fields belong together."""
    assert f.KINDS[kind].kind == kind
    with pytest.raises(BadInput, match="unknown fields: surprise"):
        fact_from_json(kind, {"surprise": 1})


def test_a_missing_optional_date_comes_back_missing():
    fact = f.Arrived(dog="d", pen="p")
    assert fact_from_json("arrived", facts_as_json(fact)) == fact


def test_an_unknown_kind_names_itself():
    with pytest.raises(BadInput, match="'from-the-future'"):
        fact_from_json("from-the-future", {})


def test_a_moment_without_a_zone_is_refused():
    naive = datetime(2026, 3, 2, 8)  # noqa: DTZ001
    with pytest.raises(BadInput, match="time zone"):
        Entry(
            entry="e",
            fact=f.Noted(about="x", text="t"),
            **(ADA | {"happened_at": naive}),
        )


def test_the_link_changes_with_any_field_and_with_what_came_before():
    entry = entry_as_json(Entry(entry="e", fact=f.Noted(about="x", text="t"), **ADA))
    here = link(FIRST_LINK, entry)
    assert len(here) == 64
    assert link(here, entry) != here
    for name in entry:
        assert link(FIRST_LINK, entry | {name: "changed"}) != here, name


def test_uuid7_is_as_in_the_standard_example():
    """RFC 9562, appendix A.6: 017F22E2-79B0-7CC3-98C4-DC0C0C07398F."""
    example = uuid.UUID("017F22E2-79B0-7CC3-98C4-DC0C0C07398F")
    at = datetime(2022, 2, 22, 19, 22, 22, tzinfo=UTC)  # 2022-02-22 14:22:22 GMT-5
    noise = (example.int & ((1 << 80) - 1)).to_bytes(10, "big")
    assert uuid.UUID(uuid7(at=at, noise=noise)) == example
