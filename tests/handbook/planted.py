"""Our handbook files with one planted change, read without touching the disk."""

from kennelward.handbook import Handbook
from kennelward.handbook.files import Text, packaged
from kennelward.handbook.load import _load

OURS = packaged()


def changed(name: str, old: str, new: str) -> Handbook:
    """The handbook with the first `old` in one file replaced; it must be there."""
    texts = []
    for text in OURS:
        if text.name == name:
            assert old in text.content, f"{old!r} is not in {name}"
            texts.append(Text(name, text.content.replace(old, new, 1)))
        else:
            texts.append(text)
    return _load(tuple(texts), ())
