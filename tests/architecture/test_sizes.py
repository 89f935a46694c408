"""Files and functions stay short enough to be read in one go."""

import ast

from tests.architecture.planting import HOUSE

LINES_OF_A_FILE = 400
LINES_OF_A_FUNCTION = 60
PLACES = ("src", "tools", "benchmarks", "tests")


def ours():
    """Every Python file of ours; migrations are written by Django."""
    yield HOUSE / "start.py"
    for place in PLACES:
        for path in sorted((HOUSE / place).rglob("*.py")):
            if "migrations" not in path.parts:
                yield path


def long_functions(text):
    """(name, lines) of each function in `text` that is too long."""
    return [
        (node.name, length)
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and (length := (node.end_lineno or 0) - node.lineno + 1) > LINES_OF_A_FUNCTION
    ]


def test_files_are_short():
    """No Python file is longer than 400 lines."""
    long = {
        path.relative_to(HOUSE).as_posix(): count
        for path in ours()
        if (count := len(path.read_text(encoding="utf-8").splitlines()))
        > LINES_OF_A_FILE
    }
    assert long == {}


def test_functions_are_short():
    """No function is longer than 60 lines."""
    assert long_functions("def f():\n" + "    x = 1\n" * 60) == [("f", 61)]
    long = {
        path.relative_to(HOUSE).as_posix(): found
        for path in ours()
        if (found := long_functions(path.read_text(encoding="utf-8")))
    }
    assert long == {}
