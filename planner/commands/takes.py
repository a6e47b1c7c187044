"""`linebeat takes SCENE LINE OTHER.wav`: another take of a line against the one in the scene."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from audio.errors import ClipError, UsageError
from planner.commands._shared import (
    check_json,
    console,
    load_shot,
    working,
    write_json,
)
from planner.told.wording import nearest, quoted

if TYPE_CHECKING:
    from planner.lead.takes import TakeComparison, TakeFacts
    from planner.scene import Line, Scene


@click.command("takes")
@click.argument("scene")
@click.argument("line")
@click.argument("other")
@click.option("--json", "json_to", metavar="FILE", help='Write JSON; "-" prints it.')
def command(scene: str, line: str, other: str, json_to: str | None) -> int:
    """Compare LINE of SCENE with another take of it, the sound file OTHER."""
    from planner.lead.takes import compare_takes

    if json_to:
        check_json(json_to)
    if not Path(other).exists():
        raise ClipError("no such sound file", where=other, mend="name the other take's file")
    shot = load_shot(scene)
    chosen = line_named(shot.scene, line)
    with working(f"listening to {Path(other).name}"):
        from audio.read_voice import read_file

        second = read_file(
            other, text=chosen.say, sounds_like=chosen.sounds_like, language=chosen.language
        )
    result = compare_takes(shot.heard[chosen.number], second, shot=shot, line=chosen.number)
    if json_to:
        write_json(result.to_json(), json_to)
    else:
        print_takes(result, chosen, Path(other).name)
    return 0


def line_named(scene: Scene, name: str) -> Line:
    """The line with that id or number. Raises UsageError."""
    for line in scene.lines:
        if name in (line.id, str(line.number)):
            return line
    raise UsageError(f'no line "{name}" in {scene.file}', mend=nearest(
        name, [line.id for line in scene.lines]))  # fmt: skip


def print_takes(result: TakeComparison, line: Line, other: str) -> None:
    """The comparison as text."""
    from rich.table import Table

    out = console()
    said = f"  {quoted(line.say)}" if line.say else ""
    out.print(f"line {line.id}: {line.sound} against {other}{said}")
    table = Table(box=None, pad_edge=False, show_header=True)
    for title in ("", line.sound, other):
        table.add_column(title)
    for row in _rows(result.first, result.second):
        table.add_row(*row)
    out.print(table)
    for remark in result.remarks:
        out.print(f"- {remark}")
    for change in result.words:
        was, now = change.first or "not said", change.second or "not said"
        out.print(f'  "{change.word}": {was} in the first, {now} in the second')
    out.print("with the second take the plan would change:" if result.plan
              else "the plan would not change")  # fmt: skip
    for entry in result.plan:
        out.print(f"  {entry.told}")


def _rows(first: TakeFacts, second: TakeFacts) -> list[tuple[str, str, str]]:
    def row(title: str, say) -> tuple[str, str, str]:  # type: ignore[no-untyped-def]
        return (title, say(first), say(second))

    return [
        row("leans on", lambda t: ", ".join(t.main) or "-"),
        row("stresses", lambda t: ", ".join(t.stressed) or "-"),
        row("tempo", lambda t: f"{t.syllables_per_s:.1f} syllables/s"),
        row("length", lambda t: f"{t.duration_s:.2f} s"),
        row("pitch", lambda t: f"{t.pitch_low_hz:.0f}-{t.pitch_high_hz:.0f} Hz "
                               f"({t.range_st:.1f} st)"),
        row("ends", lambda t: ", ".join(f"{e.word} {e.ending} {e.semitones:+.1f} st"
                                        for e in t.endings) or "-"),
    ]  # fmt: skip
