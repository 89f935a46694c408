"""The lists of libraries, the README and the folder of decisions say what is so."""

import re
import tomllib

import pytest

from kennelward.cli.group import COMMANDS
from tests.architecture.planting import HOUSE

PINNED = re.compile(r"^([a-z0-9][a-z0-9.-]*)==(\S+)", re.MULTILINE)


def lock(name):
    """Text of one list of libraries."""
    return (HOUSE / "requirements" / f"{name}.txt").read_text(encoding="utf-8")


def plain(requirement):
    """`Django[x]>=5; marker` -> `django`."""
    return re.split(r"[\[<>=!~; ]", requirement)[0].lower().replace("_", "-")


@pytest.mark.parametrize("name", ["run", "dev", "bench"])
def test_lock_names_no_host(name):
    """Names, versions, markers and hashes; no address, no option, no path."""
    for line in lock(name).splitlines():
        assert re.fullmatch(
            r"[a-z0-9][a-z0-9.-]*==\S+( ;[^/@]*)?( \\)?"
            r"|    --hash=sha256:[0-9a-f]{64}( \\)?",
            line,
        ), line


def test_lock_holds_what_is_asked_for():
    """Each library of `pyproject.toml` is pinned in its list."""
    asked = tomllib.loads((HOUSE / "pyproject.toml").read_text(encoding="utf-8"))
    needed = asked["project"]["dependencies"]
    groups = asked["dependency-groups"]
    held = {
        name: {found for found, _ in PINNED.findall(lock(name))}
        for name in ("run", "dev", "bench")
    }
    for requirement in [*needed, *groups["build"]]:
        assert plain(requirement) in held["run"]
    extras = asked["project"]["optional-dependencies"]["postgres"]
    for requirement in [*needed, *groups["test"], *groups["lint"], *extras]:
        assert plain(requirement) in held["dev"]
    for requirement in groups["bench"]:
        assert plain(requirement) in held["bench"]


def test_both_locks_agree():
    """What runs is what is tested: the same versions in both lists."""
    assert set(PINNED.findall(lock("run"))) <= set(PINNED.findall(lock("dev")))


def readme():
    """The README's text."""
    return (HOUSE / "README.md").read_text(encoding="utf-8")


def test_readme_opens_with_the_job_and_the_two_commands():
    """First the job in one paragraph, then the two commands."""
    first, second = readme().split("```")[:2]
    paragraphs = [
        part for part in first.split("\n\n") if part and part[0] not in "#![<"
    ]
    assert len(paragraphs) >= 1
    assert len(paragraphs[0]) > 200
    assert "python3 start.py\n" in second.replace("  ", "\n").replace("#", "\n")
    assert "python3 start.py test" in second


def test_readme_names_only_commands_that_exist():
    """Each `kennelward x` and each `start.py x` is one."""
    words = set(
        re.findall(r"`?kennelward ([a-z][a-z-]+)", "\n".join(code_of(readme())))
    )
    assert words
    assert words <= set(COMMANDS)
    start = (HOUSE / "start.py").read_text(encoding="utf-8")
    for word in re.findall(r"start\.py ([a-z]+)", readme()):
        assert f'"{word}"' in start


def code_of(text):
    """What stands in code marks, blocks and words."""
    return re.findall(r"```.*?```|`[^`]+`", text, re.DOTALL)


def test_pictures_and_links_of_the_papers_are_there():
    """No link of ours leads nowhere."""
    missing = []
    papers = [*HOUSE.glob("*.md"), *(HOUSE / "docs").rglob("*.md")]
    for paper in papers:
        for target in re.findall(r"\]\(([^)#]+)", paper.read_text(encoding="utf-8")):
            if "://" not in target and not (paper.parent / target).exists():
                missing.append(f"{paper.relative_to(HOUSE)}: {target}")
    assert missing == []


def test_decisions_are_numbered_without_a_gap():
    """docs/adr/NNNN-title.md, each with status, context, decision, consequences."""
    records = sorted((HOUSE / "docs" / "adr").glob("*.md"))
    assert [int(path.name[:4]) for path in records] == list(range(1, len(records) + 1))
    for path in records:
        text = path.read_text(encoding="utf-8")
        for part in ("Status:", "## Context", "## Decision", "## Consequences"):
            assert part in text, path.name
