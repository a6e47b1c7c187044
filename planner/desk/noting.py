"""Notes by frame: add, reword, done or open, remove. Pure functions from Desk to Desk."""

from __future__ import annotations

from dataclasses import replace

from planner.desk.beat_frames import beat_frames
from planner.desk.plan_index import hit_of
from planner.desk.state import (
    BeatAt,
    Desk,
    Frames,
    NoteAt,
    PoseAt,
    ProblemAt,
    SuggestionOf,
    Words,
    edit,
    say,
)  # fmt: skip
from planner.scene import Note


def add_note(desk: Desk, text: str, *, by: str = "") -> Desk:
    """A note on what is chosen, else at the cursor."""
    text = " ".join(text.split())
    if not text:
        return say(desk, "no note without words")
    new = Note(_frames(desk), text, _who(desk), by)
    notes = desk.scene.notes
    at = sum(1 for n in notes if n.frames <= new.frames)
    did = f"note at {new.frames[0]}"
    return edit(desk, did, choice=NoteAt(at), notes=(*notes[:at], new, *notes[at:]))


def _frames(desk: Desk) -> tuple[int, int]:
    match desk.choice:
        case Frames(first, last):
            return (first, last)
        case Words(line, first, last):
            laid = desk.laid.line(line)
            if laid is not None and laid.words:
                return (laid.words[first - 1].frames[0], laid.words[last - 1].frames[1])
        case BeatAt(index):
            return beat_frames(desk.laid, desk.scene.beats[index]) or (desk.cursor, desk.cursor)
        case SuggestionOf(suggestion_id):
            hit = hit_of(desk.index.by_id[suggestion_id])
            return (hit, hit)
        case ProblemAt(index):
            return desk.verdicts.problems[index].frames
        case PoseAt(index):
            frame = desk.scene.poses[index].frame
            return (frame, frame)
    return (desk.cursor, desk.cursor)


def _who(desk: Desk) -> str | None:
    match desk.choice:
        case Words(line):
            laid = desk.laid.line(line)
            return laid.who if laid else None
        case BeatAt(index):
            return desk.scene.beats[index].who
        case SuggestionOf(suggestion_id):
            return desk.index.by_id[suggestion_id].who
        case PoseAt(index):
            return desk.scene.poses[index].who
        case ProblemAt(index):
            return desk.verdicts.problems[index].who
    return desk.who


def _chosen(desk: Desk) -> int | None:
    """The chosen note, else one that lies over the cursor."""
    if isinstance(desk.choice, NoteAt):
        return desk.choice.index
    for index, note in enumerate(desk.scene.notes):
        if note.frames[0] <= desk.cursor <= note.frames[1]:
            return index
    return None


def toggle_done(desk: Desk) -> Desk:
    """The chosen note done, or open again."""
    index = _chosen(desk)
    if index is None:
        return say(desk, "no note here")
    note = desk.scene.notes[index]
    did = "note open again" if note.done else "note done"
    return _changed(desk, index, replace(note, done=not note.done), did)


def reword(desk: Desk, text: str) -> Desk:
    """Other words for the chosen note."""
    index = _chosen(desk)
    text = " ".join(text.split())
    if index is None or not text:
        return say(desk, "no note here" if index is None else "no note without words")
    return _changed(desk, index, replace(desk.scene.notes[index], text=text), "note reworded")


def remove_note(desk: Desk) -> Desk:
    """Take the chosen note away."""
    index = _chosen(desk)
    if index is None:
        return say(desk, "no note here")
    notes = desk.scene.notes
    gone = edit(desk, "note removed", notes=notes[:index] + notes[index + 1 :])
    return replace(gone, choice=None)


def _changed(desk: Desk, index: int, note: Note, did: str) -> Desk:
    notes = desk.scene.notes
    return edit(desk, did, choice=NoteAt(index), notes=(*notes[:index], note, *notes[index + 1 :]))
