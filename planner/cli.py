"""The command line: finds a command by name, runs it, turns errors into one line and an exit code.

Each command lives in `planner.commands.NAME` as a click command called `command`, imported only
when it is called, so that starting up costs nothing. Standard output carries data only.
"""

from __future__ import annotations

import gc
import importlib
import os
import sys
from collections.abc import Sequence
from enum import IntEnum

import click

from audio.errors import LinebeatError
from audio.shown import shown_line
from planner import __version__, streams
from planner.told.wording import nearest

COMMANDS = {
    "demo": "plan the bundled scene and say how to open it",
    "read": "what is heard in a clip: words, stresses, glides, phrases",
    "start": "write a scene file, ready to tag, from clips",
    "plan": "suggested frames for a scene, each with its reason",
    "desk": "open a scene in the terminal",
    "check": "key poses against the stresses of the voice",
    "paths": "arcs, offsets, spacing and drift of motion tracks",
    "track": "points followed in a movie, for paths",
    "takes": "two takes of a line compared",
    "note": "the lead's remarks: add, list, done",
    "passes": "what is polished, phrase by phrase",
    "sheet": "exposure sheet, picture, page, markers: the plan on paper",
    "many": "a whole folder of scenes or clips",
}


class Exit(IntEnum):
    """What the exit code says."""

    DONE = 0  # done, nothing found wanting
    WANTING = 1  # checked, and something was found wanting
    FAILED = 2  # it could not be done; one line on standard error says why


class LazyGroup(click.Group):
    """A group whose commands are imported when called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"planner.commands.{cmd_name}")
        command: click.Command = module.command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        name = args[0] if args else ""
        if name and not name.startswith("-") and name not in COMMANDS:
            raise LinebeatError(f'no command "{name}"', mend=nearest(name, COMMANDS))
        return super().resolve_command(ctx, args)


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="linebeat")
def root() -> None:
    """Dialogue timing and acting beats: a voice line in, frames and reasons out."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command. Returns the exit code; never raises for a user's mistake."""
    arguments = list(sys.argv[1:] if argv is None else argv)
    try:
        result = root.main(arguments, prog_name="linebeat", standalone_mode=False)
    except LinebeatError as error:
        return _say(error.line(), error.exit_code)
    except click.exceptions.NoArgsIsHelpError as error:
        click.echo(error.format_message(), err=True)
        return Exit.FAILED
    except click.ClickException as error:
        return _say(" ".join(error.format_message().split()), Exit.FAILED)
    except (click.Abort, KeyboardInterrupt):
        return _say("stopped", 130)
    except BrokenPipeError:
        streams.leave_output()
        return Exit.DONE
    except MemoryError:
        return _say("not enough memory for this; use a shorter clip", Exit.FAILED)
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        return _say(f"{where}{error.strerror or error}", Exit.FAILED)
    except Exception as error:  # the one place where a fault of ours becomes a line
        if os.environ.get("LINEBEAT_TRACEBACK"):
            raise
        return _say(_fault(error), Exit.FAILED)
    return result if isinstance(result, int) else Exit.DONE


def _fault(error: Exception) -> str:
    """A fault of linebeat itself, in one line that a report can quote."""
    import traceback

    last = traceback.extract_tb(error.__traceback__)[-1]
    place = f"{os.path.basename(last.filename)}:{last.lineno}"  # noqa: PTH119 - any text may stand there
    return (
        f"a fault of linebeat, not yours: {type(error).__name__}: {error} ({place}); "
        "report this line (LINEBEAT_TRACEBACK=1 shows more)"
    )


def _say(text: str, code: int) -> int:
    click.echo(f"linebeat: {shown_line(text)}", err=True)
    return code


def entry_point() -> None:
    """The console script."""
    # Modules and tables make many objects that live to the end; looking for rubbish among them
    # costs a tenth of the start.
    gc.set_threshold(50_000)
    streams.prepare()
    code = main()
    problem = streams.finish()
    sys.exit(_say(problem, Exit.FAILED) if problem else code)
