"""Handbook: every number with its source, every rule, every caution, found by words."""

import pytest

from kennelward import desk
from kennelward.desk.pages.handbook_page.listing import anchor_of
from tests.desk.pages.conftest import text_of


def test_every_number_is_there_with_where_it_comes_from(mara, demo):
    """As many lines as the handbook has numbers, each with provenance and day."""
    handbook = desk.handbook(demo)
    html = mara.get("/handbook/").content.decode()
    for path, value in handbook.values():
        assert f'id="{anchor_of(path)}"' in html, path
        assert value.source.split()[0] in html, path
    assert html.count('class="prov') == len(list(handbook.values()))


def test_every_rule_in_force_is_there(mara, demo):
    """Each with its id and source; no place is left for a program to fill."""
    rules = desk.handbook(demo).programmes.in_force(desk.now().date())
    html = mara.get("/handbook/rules/").content.decode()
    for rule in rules:
        assert f'id="{rule.id}"' in html
    assert "{" not in text_of(mara.get("/handbook/rules/"))


def test_every_caution_and_source_is_there(mara, demo):
    """Cautions with their words, sources by id, and the state of the handbook."""
    handbook = desk.handbook(demo)
    cautions = mara.get("/handbook/cautions/").content.decode()
    assert cautions.count("panel is-caution") == len(handbook.cautions)
    sources = text_of(mara.get("/handbook/sources/"))
    for name in handbook.sources:
        assert name in sources
    assert handbook.hash in sources


@pytest.mark.parametrize("leaf", ["", "rules/", "cautions/", "sources/"])
def test_words_are_looked_for(mara, leaf):
    """A word finds fewer lines; nonsense finds none and says so."""
    everything = len(mara.get(f"/handbook/{leaf}").content)
    some = len(mara.get(f"/handbook/{leaf}?q=brucella").content)
    assert some < everything
    assert "matches these words" in text_of(mara.get(f"/handbook/{leaf}?q=zzzqqq"))
