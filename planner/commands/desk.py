"""`linebeat desk SCENE`: the scene in the terminal, to look at and to work on."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import click

from audio.errors import LinebeatError


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
    base = os.environ.get("XDG_STATE_HOME") or Path.home() / ".local" / "state"
    mark = Path(base) / "linebeat" / "desk-opened"
    if mark.exists():
        return False
    try:
        mark.parent.mkdir(parents=True, exist_ok=True)
        mark.touch()
    except OSError:
        return False  # a home that cannot be written would greet for ever
    return True
