"""Gather every text a person reads into one catalogue, and hold translations to it.

    python tools/messages.py            write src/kennelward/desk/locale/django.pot
    python tools/messages.py --check    say what is missing from it, or left over

In pure Python, so that neither xgettext nor msgfmt need be installed. A translation lies
in locale/<language>/LC_MESSAGES/django.po with its compiled .mo beside it; `compile_all`
writes the .mo. A translation is complete or it is absent.
"""

import ast
import re
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import polib

HERE = Path(__file__).resolve().parent.parent
PACKAGE = HERE / "src" / "kennelward"
LOCALE = PACKAGE / "desk" / "locale"
CATALOGUE = LOCALE / "django.pot"

TEXT = re.compile(r"u?(?:'(?:\\.|[^'\\])*'|\"(?:\\.|[^\"\\])*\")", re.DOTALL)
CALL = re.compile(
    rf"\b(npgettext|ngettext|pgettext|gettext|_)\(\s*({TEXT.pattern})"
    rf"(?:\s*,\s*({TEXT.pattern}))?(?:\s*,\s*({TEXT.pattern}))?",
    re.DOTALL,
)
KINDS = {"_": "gettext", "gettext_noop": "gettext", "Phrase": "gettext"}
SHOWN_KEYS = {  # keys of the handbook's TOML whose text a person reads
    "says", "because", "name", "title", "do", "why", "text", "words", "steps", "notes",
    "meaning", "what", "duty", "label", "caution", "differentials",
}  # fmt: skip


class Message(NamedTuple):
    """One text: its context, itself, its plural; "" where it has none."""

    context: str
    text: str
    plural: str


def gather() -> dict[Message, set[str]]:
    """Every message in the package, with the files it stands in."""
    found: dict[Message, set[str]] = {}
    for path in sorted(PACKAGE.rglob("*")):
        if "__pycache__" in path.parts or "migrations" in path.parts:
            continue
        for message in _messages_of(path):
            if message.text.strip():
                place = path.relative_to(PACKAGE).as_posix()
                found.setdefault(message, set()).add(place)
    return found


def _messages_of(path: Path) -> Iterator[Message]:
    if path.suffix == ".py":
        yield from of_python(path.read_text(encoding="utf-8"))
    elif path.suffix in (".html", ".txt") and "templates" in path.parts:
        yield from of_template(path.read_text(encoding="utf-8"))
    elif path.suffix == ".toml":
        yield from of_handbook(tomllib.loads(path.read_text(encoding="utf-8")))


def of_python(text: str) -> Iterator[Message]:
    """Texts given to gettext and its kin, and templates of phrases."""
    for node in ast.walk(ast.parse(text)):
        if not isinstance(node, ast.Call):
            continue
        called = node.func
        name = (
            called.id if isinstance(called, ast.Name) else getattr(called, "attr", "")
        )
        name = name.removesuffix("_lazy")
        texts = [
            one.value
            for one in node.args
            if isinstance(one, ast.Constant) and isinstance(one.value, str)
        ]
        yield from _message(KINDS.get(name, name), texts)


def of_template(text: str) -> Iterator[Message]:
    """Texts in translate and blocktranslate tags and in `_()` of other tags."""
    from django.utils.translation.template import templatize

    for kind, *texts in CALL.findall(templatize(text)):
        given = [ast.literal_eval(one) for one in texts if one]
        yield from _message(KINDS.get(kind, kind), given)


def of_handbook(value: Any, key: str = "") -> Iterator[Message]:
    """Texts of the handbook that a person reads, under the keys that hold such."""
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from of_handbook(inner, name)
    elif isinstance(value, list):
        for inner in value:
            yield from of_handbook(inner, key)
    elif isinstance(value, str) and key in SHOWN_KEYS:
        yield Message("", value, "")


def _message(kind: str, texts: list[str]) -> Iterator[Message]:
    needed = {"gettext": 1, "pgettext": 2, "ngettext": 2, "npgettext": 3}.get(kind, 0)
    if needed == 0 or len(texts) < needed:
        return
    context = texts.pop(0) if kind in ("pgettext", "npgettext") else ""
    yield Message(context, texts[0], texts[1] if kind.startswith("n") else "")


def as_catalogue(found: dict[Message, set[str]]) -> polib.POFile:
    """The messages as an empty catalogue, in a stable order, without a date."""
    catalogue = polib.POFile(wrapwidth=88)
    catalogue.metadata = {
        "Project-Id-Version": "kennelward",
        "MIME-Version": "1.0",
        "Content-Type": "text/plain; charset=utf-8",
        "Content-Transfer-Encoding": "8bit",
    }
    for message in sorted(found):
        entry = polib.POEntry(
            msgid=message.text,
            msgctxt=message.context or None,
            occurrences=[(place, "") for place in sorted(found[message])],
            flags=["python-format"] if "%(" in message.text else [],
        )
        if message.plural:
            entry.msgid_plural = message.plural
            entry.msgstr_plural = {0: "", 1: ""}
        catalogue.append(entry)
    return catalogue


def keys_of(catalogue: polib.POFile) -> set[Message]:
    """The messages that a catalogue holds."""
    return {
        Message(one.msgctxt or "", one.msgid, one.msgid_plural or "")
        for one in catalogue
        if not one.obsolete
    }


def places_in(text: str) -> set[str]:
    """What is filled in: `%(n)s` and `{dog}`; both must survive translation."""
    return set(re.findall(r"%\(\w+\)[sd]|\{\w+\}", text))


def faults_of(translation: polib.POFile, wanted: set[Message]) -> list[str]:
    """What keeps a translation from being complete and right."""
    faults = [
        f"missing: {message.text!r}"
        for message in sorted(wanted - keys_of(translation))
    ]
    for entry in translation:
        told = [entry.msgstr, *entry.msgstr_plural.values()]
        told = [one for one in told if one] or [""]
        if entry.fuzzy or not all(told):
            faults.append(f"not translated: {entry.msgid!r}")
        allowed = places_in(entry.msgid) | places_in(entry.msgid_plural or "")
        if any(not places_in(one) <= allowed for one in told):
            faults.append(f"fills in what is not given: {entry.msgid!r}")
    return faults


def main(arguments: list[str]) -> int:
    found = gather()
    if arguments == ["--check"]:
        known = keys_of(polib.pofile(str(CATALOGUE))) if CATALOGUE.exists() else set()
        for message in sorted(set(found) - known):
            print(
                f"not in the catalogue: {message.text!r} ({sorted(found[message])[0]})"
            )
        for message in sorted(known - set(found)):
            print(f"left over in the catalogue: {message.text!r}")
        return int(known != set(found))
    LOCALE.mkdir(parents=True, exist_ok=True)
    as_catalogue(found).save(str(CATALOGUE))
    for translation in sorted(LOCALE.glob("*/LC_MESSAGES/django.po")):
        polib.pofile(str(translation)).save_as_mofile(
            str(translation.with_suffix(".mo"))
        )
    print(f"{len(found)} texts in {CATALOGUE.relative_to(HERE)}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
