"""Every text a person reads is in the catalogue; a translation is complete or absent."""

import polib
import pytest

from tools import messages
from tools.messages import Message

PYTHON = """
from django.utils.translation import gettext as _, gettext_lazy, ngettext, pgettext
title = _("Due " "today")
lazy = gettext_lazy("Round")
many = ngettext("%(n)s dog", "%(n)s dogs", 3)
other = pgettext("of a dog", "left")
said = terms.Phrase("{dog} stays apart", {"dog": "Moss"})
unseen = "never shown"
"""
TEMPLATE = """{% load i18n %}<h1>{% translate "Pens" %}</h1>
<p>{% blocktranslate count n=n trimmed %}{{ n }} pup{% plural %}{{ n }} pups{% endblocktranslate %}
{% include "x.html" with label=_("Save it") %}</p>"""


def test_texts_of_python_are_found():
    """Plain, lazy, plural, with context, and phrases of the computing rooms."""
    assert set(messages.of_python(PYTHON)) == {
        Message("", "Due today", ""),
        Message("", "Round", ""),
        Message("", "%(n)s dog", "%(n)s dogs"),
        Message("of a dog", "left", ""),
        Message("", "{dog} stays apart", ""),
    }


def test_texts_of_templates_are_found():
    """Tags, blocks with plurals, and texts inside other tags."""
    assert set(messages.of_template(TEMPLATE)) == {
        Message("", "Pens", ""),
        Message("", "%(n)s pup", "%(n)s pups"),
        Message("", "Save it", ""),
    }


def test_texts_of_the_handbook_are_found():
    """What a rule says, not what it is called by the code."""
    rule = {
        "rules": [{"id": "isolate-01", "says": "Own pen", "values": [{"value": 14}]}]
    }
    assert set(messages.of_handbook(rule)) == {Message("", "Own pen", "")}


def test_catalogue_is_in_step():
    """`python3 start.py messages` has been run since the last new text."""
    known = messages.keys_of(polib.pofile(str(messages.CATALOGUE)))
    found = set(messages.gather())
    assert (found - known, known - found) == (set(), set())
    assert len(found) > 300


def translation(**told):
    """A small translation: msgid -> msgstr."""
    made = polib.POFile()
    made.extend(polib.POEntry(msgid=text, msgstr=said) for text, said in told.items())
    return made


WANTED = {Message("", "{dog}_apart", ""), Message("", "Pens", "")}


@pytest.mark.parametrize(
    ("told", "fault"),
    [
        ({"{dog}_apart": "{dog} allein"}, "missing: 'Pens'"),
        ({"{dog}_apart": "{dog} allein", "Pens": ""}, "not translated: 'Pens'"),
        (
            {"{dog}_apart": "{hund} allein", "Pens": "Boxen"},
            "fills in what is not given",
        ),
    ],
)
def test_incomplete_translation_is_caught(told, fault):
    """A missing, an empty and a wrongly filled text."""
    (found,) = messages.faults_of(translation(**told), WANTED)
    assert found.startswith(fault)


def test_translations_are_complete_and_compiled():
    """Each language there is has every text, and its .mo says the same."""
    wanted = set(messages.gather())
    complete = translation(**{"{dog}_apart": "{dog} allein", "Pens": "Boxen"})
    assert messages.faults_of(complete, WANTED) == []
    for path in messages.LOCALE.glob("*/LC_MESSAGES/django.po"):
        source = polib.pofile(str(path))
        assert messages.faults_of(source, wanted) == []
        compiled = polib.mofile(str(path.with_suffix(".mo")))
        assert {e.msgid: e.msgstr for e in compiled} == {
            e.msgid: e.msgstr for e in source
        }
