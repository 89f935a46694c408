"""The `kennelward` command: finds the file of a command, and says errors in one line."""

import importlib
import sys
from collections.abc import Sequence
from typing import Any, NoReturn

import click

from kennelward.terms import BadInput

COMMANDS = {  # name -> what it does, so that the help need not load every file
    "demo": "Do the main job on a made-up kennel, here in the terminal.",
    "desk": "Open the desk in a browser: this computer, and phones on the same network.",
    "read": "Read photos of strips.",
    "interpret": "What a result means for one dog.",
    "timing": "When a strip can answer, from a day alone.",
    "freedom": "How sure the kennel can be that an infection is absent.",
    "trace": "After a positive: whom to keep apart, whom to test, where it came from.",
    "due": "What is due, by which rule, from which source.",
    "due-date": "When a bitch is due, from mating, LH or ovulation day.",
    "litter": "The litters, and how one of them grows.",
    "losses": "Stillborn puppies and early deaths, judged as a run of litters.",
    "foresee": "What may happen if an infection spreads, and which policy helps.",
    "verify": "Look whether every entry of the book is there and unchanged.",
    "backup": "Write the whole book and its photos into one file.",
    "restore": "Make a data folder out of a backup.",
    "import-dogs": "Bring in dogs from a CSV table; looks first, writes when told.",
    "handbook": "Every number, its unit and where it comes from.",
}

ALSO = {"outlook": "foresee"}  # another name for a command, not in the help

DONE, REFUSED, WRONGLY_WRITTEN = 0, 1, 2


class Refused(click.ClickException):
    """The command was understood and cannot be done; the message says what to do."""

    exit_code = REFUSED


class LazyGroup(click.Group):
    """A group that imports a command's file when the command is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names in the order of `COMMANDS`."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name, or None."""
        cmd_name = ALSO.get(cmd_name, cmd_name)
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(
            f"kennelward.cli.{cmd_name.replace('-', '_')}_command"
        )
        command = module.command
        assert isinstance(command, click.Command)
        return command

    def format_commands(
        self, ctx: click.Context, formatter: click.HelpFormatter
    ) -> None:
        """The list of commands in the help, without loading one."""
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))

    def invoke(self, ctx: click.Context) -> Any:
        """Run a command; what a person or a file gave wrongly becomes one line."""
        try:
            return super().invoke(ctx)
        except BadInput as error:
            raise Refused(str(error)) from error
        except (FileNotFoundError, PermissionError, IsADirectoryError) as error:
            raise Refused(_file_trouble(error)) from error

    def main(  # type: ignore[override]
        self,
        args: Sequence[str] | None = None,
        prog_name: str | None = None,
        standalone_mode: bool = True,
        **extra: Any,
    ) -> Any:
        """Run and leave with status 0, 1 or 2, errors in one line on stderr."""
        if not standalone_mode:
            return super().main(args, prog_name, standalone_mode=False, **extra)
        try:
            status = super().main(args, prog_name, standalone_mode=False, **extra)
        except click.exceptions.NoArgsIsHelpError as error:
            error.show()
            sys.exit(WRONGLY_WRITTEN)
        except click.UsageError as error:
            _leave(f"{error.format_message().rstrip('.')}{_see_help(error)}", 2)
        except click.ClickException as error:
            _leave(error.format_message(), error.exit_code)
        except click.Abort:
            _leave("stopped", REFUSED)
        except BrokenPipeError:  # the reader of our output has seen enough
            sys.stderr.close()
            sys.exit(DONE)
        sys.exit(status if isinstance(status, int) else DONE)


def _file_trouble(error: OSError) -> str:
    """One line about a file that cannot be used."""
    name = error.filename or "a file"
    if isinstance(error, FileNotFoundError):
        return f"{name} is not there; look at the path again"
    if isinstance(error, IsADirectoryError):
        return f"{name} is a folder; name a file"
    return f"{name} may not be read or written by you; choose another place"


def _see_help(error: click.UsageError) -> str:
    if error.ctx is None:
        return ""
    return f"; see: {error.ctx.command_path} --help"


def _leave(message: str, status: int) -> NoReturn:
    line = " ".join(message.split())
    click.echo(f"kennelward: {line}", err=True)
    sys.exit(status)


@click.group(
    cls=LazyGroup,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80},
    epilog="Exit status: 0 done, 1 refused or unreadable, 2 written wrongly. A strip is "
    "a screening aid: confirmation and treatment are the vet's.",
)
@click.version_option(package_name="kennelward", prog_name="kennelward")
def main() -> None:
    """Infection control for a breeding kennel.

    Which dog to test, what the strip says, what to do next, and when.
    """
