"""The reference page names every command and every option there is."""

from pathlib import Path

import click
import pytest

from kennelward.cli import main
from kennelward.cli.group import COMMANDS

PAGE = Path(__file__).parents[2] / "docs" / "reference" / "terminal.md"


@pytest.mark.parametrize("name", COMMANDS)
def test_every_option_is_on_the_page(name):
    text = PAGE.read_text()
    assert f"`{name} " in text
    command = main.get_command(click.Context(main), name)
    assert command is not None
    for parameter in command.params:
        if isinstance(parameter, click.Option):
            for option in parameter.opts:
                assert option in text, f"{name} {option}"
