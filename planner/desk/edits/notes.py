"""Notes by frame: add, reword, done or open, remove; a problem accepted as meant. Pure."""

from __future__ import annotations

from dataclasses import replace

from audio.errors import LinebeatError
from planner.desk.choice import frames_of
from planner.desk.choices import BeatAt, Choice, NoteAt, PoseAt, ProblemAt, SuggestionOf, Words
from planner.desk.plan_index import hit_of
from planner.desk.state import Desk, edit, say
from planner.lead.notes import WordsOf, with_note
from planner.scene import Note
from planner.shot.meant import with_meant

NOT_ACCEPTED = "an accent without a pose: drop the accent in Move, or add a pose"


def add_note(desk: Desk, text: str, *, by: str = "") -> Desk:
    """A note on what is chosen, else at the cursor. On words, it goes with them."""
    text = " ".join(text.split())
    if not text:
        return say(desk, "no note without words")
    try:
        scene = with_note(
            desk.shot.changed(desk.scene), text, frames=_frames(desk), words=_words(desk),
            who=_who(desk), by=by,
        )  # fmt: skip
    except LinebeatError as error:
        return say(desk, error.line())
    new = scene.notes[-1]
    did = f"note at {new.frames[0]}" + (", tied to its words" if new.words else "")
    return edit(desk, did, choice=_kept(desk, NoteAt(len(scene.notes) - 1)), notes=scene.notes)


def _words(desk: Desk) -> WordsOf | None:
    """The words a note is about, if words or a beat of words are chosen."""
    match desk.choice:
        case Words(line, first, last):
            return WordsOf(line, first, last)
        case BeatAt(index):
            beat = desk.scene.beats[index]
            if beat.line is not None and beat.words is not None:
                return WordsOf(beat.line, *beat.words)
    return None


def _frames(desk: Desk) -> tuple[int, int]:
    """The frames of what is chosen (a suggestion: its hit), else the cursor's."""
    if isinstance(desk.choice, SuggestionOf):
        hit = hit_of(desk.index.by_id[desk.choice.id])
        return (hit, hit)
    return frames_of(desk, desk.choice) or (desk.cursor, desk.cursor)


def _who(desk: Desk) -> str | None:
    match desk.choice:
        case Words(line):
            return desk.facts.line[line].who
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
    if isinstance(desk.choice, Words):
        inside = frames_of(desk, desk.choice) or (desk.cursor, desk.cursor)
        for index, note in enumerate(desk.facts.notes):
            if note.frames[0] <= inside[1] and note.frames[1] >= inside[0]:
                return index
    for index, note in enumerate(desk.facts.notes):
        if note.frames[0] <= desk.cursor <= note.frames[1]:
            return index
    return None


def accept(desk: Desk, why: str) -> Desk:
    """The chosen problem is meant, for a reason; tied to the words that are said there."""
    if not isinstance(desk.choice, ProblemAt):
        return say(desk, "choose a problem first")
    problem = desk.verdicts.problems[desk.choice.index]
    if problem.kind == "missed":
        return say(desk, NOT_ACCEPTED)
    try:
        scene = with_meant(desk.scene, problem, why, shot=desk.shot.changed(desk.scene))
    except LinebeatError as error:
        return say(desk, error.line())
    accepted = edit(desk, f"meant: {scene.meant[-1].why}", meant=scene.meant)
    return replace(accepted, choice=None)


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
    return edit(
        desk,
        did,
        choice=_kept(desk, NoteAt(index)),
        notes=(*notes[:index], note, *notes[index + 1 :]),
    )


def _kept(desk: Desk, note: NoteAt) -> Choice:
    """What is chosen afterwards: the note in its own panel, elsewhere what was chosen before."""
    return note if desk.panel == "notes" or desk.choice is None else desk.choice
