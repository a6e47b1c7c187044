"""`linebeat note SCENE ...`: the lead's remarks, kept in the scene file."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from audio.errors import ClipError, SceneError, UsageError
from planner.commands._shared import console, say, scene_path, shot_of_scene, write_json

if TYPE_CHECKING:
    from planner.scene import Note, Scene
    from planner.shot import Shot


@click.group(
    "note",
    options_metavar="",
    subcommand_metavar="add|list|done|open ...",
    epilog="Help on one of them: linebeat note SCENE add --help",
)
@click.argument("scene")
@click.pass_context
def command(ctx: click.Context, scene: str) -> None:
    """Remarks on SCENE (a scene file or its folder): add, list, done, open."""
    ctx.obj = scene_path(scene)


@command.command("add")
@click.argument("text", nargs=-1, required=True)
@click.option("--frames", metavar="A-B", help="The frames it is about.")
@click.option("--words", metavar="LINE:A-B", help="The words it is about; it moves with them.")
@click.option("--who", help="The character it is about.")
@click.option("--by", default="", help="Whose remark it is.")
@click.pass_obj
def add(path: Any, text: tuple[str, ...], frames: str | None, words: str | None,
        who: str | None, by: str) -> int:  # fmt: skip
    """Add a note on some frames or words."""
    from planner.lead.notes import read_frames, read_words, with_note
    from planner.scene_file import change_scene

    if frames and words:
        raise UsageError("--frames and --words are both given", mend="give one of them")

    def noted(scene: Scene) -> Scene:
        if who is not None and who not in scene.characters:
            known = ", ".join(scene.characters)
            raise UsageError(f'no character "{who}" in {scene.file}', mend=f"use one of: {known}")
        tied = read_words(words, scene) if words else None
        span = read_frames(frames) if frames else None
        if span:
            _check_inside(scene, span)
        shot = _shot(scene, tied is not None)
        return with_note(shot, " ".join(text), frames=span, words=tied, who=who, by=by.strip())

    changed = change_scene(path, noted, sections={"notes"})
    first, last = changed.notes[-1].frames
    say(f"note {len(changed.notes)} on frames {first}-{last}")
    return 0


def _check_inside(scene: Scene, span: tuple[int, int]) -> None:
    """Refuse frames that lie wholly outside the shot. Raises UsageError.

    A shot without frames of its own ends after its last line; where that cannot be read, any will
    do: a note is not to be lost because a sound is missing.
    """
    if scene.shot is not None:
        low, high = scene.shot[0] - scene.handles, scene.shot[1] + scene.handles
    else:
        try:
            low, high = shot_of_scene(scene).frames_with_handles
        except (ClipError, SceneError):
            return
    if span[1] < low or span[0] > high:
        raise UsageError(f"--frames {span[0]}-{span[1]} lie outside the shot",
                         mend=f"the shot is {low}-{high}")  # fmt: skip


@command.command("list")
@click.option("--open", "which", flag_value="open", default=True, help="Only open ones (default).")
@click.option("--all", "which", flag_value="all", help="Those done as well.")
@click.option("--json", "json_to", metavar="FILE", help='Write JSON; "-" prints it.')
@click.pass_obj
def list_notes(path: Any, which: str, json_to: str | None) -> int:
    """Print the notes, each on its present frames."""
    from planner.lead.notes import placed_notes

    scene, _ = _read(path)
    tied = any(n.words for n in scene.notes)
    notes = [
        (number, note)
        for number, note in enumerate(placed_notes(_shot(scene, tied)), 1)
        if which == "all" or not note.done
    ]
    if json_to:
        write_json({"linebeat": 1, "notes": [_note_json(n, note) for n, note in notes]}, json_to)
        return 0
    _print(scene, notes)
    return 0


@command.command("done")
@click.argument("numbers", nargs=-1, required=True, type=int)
@click.pass_obj
def done(path: Any, numbers: tuple[int, ...]) -> int:
    """Mark notes done, by their number in the list."""
    return _mark(path, numbers, done=True)


@command.command("open")
@click.argument("numbers", nargs=-1, required=True, type=int)
@click.pass_obj
def open_again(path: Any, numbers: tuple[int, ...]) -> int:
    """Mark notes as not done after all."""
    return _mark(path, numbers, done=False)


def _mark(path: Any, numbers: tuple[int, ...], *, done: bool) -> int:
    from planner.lead.notes import with_done
    from planner.scene_file import change_scene

    changed = change_scene(
        path, lambda scene: with_done(scene, numbers, done=done), sections={"notes"}
    )
    left = sum(not n.done for n in changed.notes)
    say(f"{left} of {len(changed.notes)} notes open")
    return 0


def _read(path: Any) -> tuple[Scene, str]:
    from planner.scene_file import read_scene_and_text

    return read_scene_and_text(path)


def _shot(scene: Scene, with_sounds: bool) -> Shot:
    """The scene's shot; without sounds where nothing is tied to words."""
    from planner.shot import shot_of

    return shot_of_scene(scene) if with_sounds else shot_of(scene, {})


def _note_json(number: int, note: Note) -> dict[str, Any]:
    return {
        "note": number, "frames": list(note.frames), "who": note.who, "by": note.by,
        "text": note.text, "done": note.done, "line": note.line,
        "words": list(note.words) if note.words else None,
    }  # fmt: skip


def _print(scene: Scene, notes: list[tuple[int, Note]]) -> None:
    from rich.table import Table

    if not notes:
        console().print("no notes" if not scene.notes else "no open notes")
        return
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    for name in ("note", "frames", "who", "by", "says", ""):
        table.add_column(name, header_style="dim", no_wrap=name == "frames")
    for number, note in notes:
        first, last = note.frames
        table.add_row(
            str(number), str(first) if first == last else f"{first}-{last}", note.who or "",
            note.by, note.text, "done" if note.done else "",
        )  # fmt: skip
    console().print(table)
