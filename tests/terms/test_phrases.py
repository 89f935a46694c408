"""Sentences are filled by name, and a dog's odd name never breaks one."""

import pytest

from kennelward.terms import Phrase


def test_a_phrase_is_filled_by_name():
    assert str(Phrase("Keep {dog} apart", {"dog": "Moss"})) == "Keep Moss apart"


@pytest.mark.parametrize("name", ["{dog}", "{", "}", "{0}", "%s", "{dog.__class__}"])
def test_a_name_with_braces_stays_as_it_is(name):
    assert str(Phrase("Keep {dog} apart", {"dog": name})) == f"Keep {name} apart"


def test_a_missing_value_is_named():
    with pytest.raises(KeyError, match="pen"):
        str(Phrase("Move {dog} to {pen}", {"dog": "Moss"}))
