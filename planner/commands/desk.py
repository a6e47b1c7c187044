"""`linebeat desk SCENE`: the scene in the terminal, to look at and to work on."""

from __future__ import annotations

import sys

import click

from audio.errors import LinebeatError
from audio.folders import state_folder


@click.command("desk")
@click.argument("scene")
def command(scene: str) -> int:
    """Open SCENE (a scene file or its folder) in the terminal; ? there lists every key."""
    if not is_at_a_terminal():
        raise LinebeatError("the desk needs a terminal", mend="run it in one, or use linebeat plan")
    from planner.desk.run import open_app, run_desk

    return run_desk(open_app(scene, first_run=is_first_run()))


def is_at_a_terminal() -> bool:
    """True if keys and pictures have a terminal."""
    return all(stream.isatty() for stream in (sys.stdin, sys.stdout, sys.stderr))


def is_first_run() -> bool:
    """True the first time the desk is opened by this user; remembers that it was."""
    folder = state_folder()
    if folder is None:
        return False
    mark = folder / "desk-opened"
    try:
        if mark.exists():
            return False
        mark.parent.mkdir(parents=True, exist_ok=True)
        mark.touch()
    except OSError:
        return False  # a home that cannot be written would greet for ever
    return True
