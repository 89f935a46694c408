"""Opening the book for commands that need it. The only door from here to Django."""

from pathlib import Path

from kennelward.terms import BadInput


def open_data(folder: Path | None) -> Path:
    """Open the book in a data folder; `BadInput` where there is none."""
    from kennelward import desk

    found = desk.data_folder(folder)
    if not desk.has_book(found):
        raise BadInput(
            f"no kennel book in {found}; start one with `kennelward desk`, or name "
            "another folder with --data"
        )
    desk.open_book(found)
    return found


def the_kennel(named: str | None) -> str:
    """Id of the kennel by name or id; without a name, the only one there is."""
    from kennelward import desk

    kennels = list(desk.kennels())
    if named is None and len(kennels) == 1:
        return str(kennels[0][0])
    for kennel, name in kennels:
        if named in (kennel, name):
            return str(kennel)
    names = ", ".join(name for _, name in kennels)
    raise BadInput(f"say which kennel with --kennel; the book has: {names}")
