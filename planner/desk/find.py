"""What `/` finds: words, intents, the untagged, remarks, notes, problems, suggestions. Pure."""

from __future__ import annotations

from planner.desk.actions import to_way
from planner.desk.choice import HOLDS, choose, words_of_phrase
from planner.desk.choices import BeatAt, Choice, NoteAt, ProblemAt, Words
from planner.desk.cursor import attend
from planner.desk.entries import Entry
from planner.desk.state import Desk, Way
from planner.desk.units import shown_here
from planner.desk.views.beats import wordings
from planner.desk.views.panels import PANELS_OF


def places(desk: Desk) -> list[tuple[Entry, Choice]]:
    """Everything that can be gone to, in order of the script, each with what is chosen there."""
    facts, found = desk.facts, list[tuple[Entry, Choice]]()

    def add(kind: str, text: str, choice: Choice, frame: int) -> None:
        entry = Entry(str(len(found)), kind, " ".join(text.split()), shown_here(desk, frame))
        found.append((entry, choice))

    for place, phrase in enumerate(facts.phrases):
        line = facts.line[phrase.line]
        text = " ".join(w.text for w in line.words[phrase.first - 1 : phrase.last])
        kind = "said" if facts.beats_of_phrase[place] else "untagged"
        add(kind, f"{line.who}: {text}", words_of_phrase(desk, place), phrase.frames[0])
    for index, beat in enumerate(desk.scene.beats):
        frames = facts.beat_frames[index]
        if frames is not None:
            add("meant", f"{beat.who}: {wordings(beat)[0]}", _of_beat(desk, index), frames[0])
    for index, note in enumerate(facts.notes):
        kind = "note done" if note.done else "note"
        add(
            kind, f"{note.by}: {note.text}" if note.by else note.text, NoteAt(index), note.frames[0]
        )
    for index, problem in enumerate(desk.verdicts.problems):
        add("problem", f"{problem.who}: {problem.text}", ProblemAt(index), problem.frames[0])
    return found


def _of_beat(desk: Desk, index: int) -> Choice:
    """A beat as it is chosen in the script: by its words, where it has any."""
    beat = desk.scene.beats[index]
    if desk.way == "mean" and beat.words is not None and beat.line is not None:
        return Words(beat.line, *beat.words)
    return BeatAt(index)


def go_to_place(desk: Desk, choice: Choice) -> Desk:
    """Choose it, in the way in that shows it: this one if it does."""
    holds = HOLDS[type(choice)]
    ways: tuple[Way, ...] = (desk.way, "mean", "move", "mend")
    way = next(w for w in ways if any(p in holds for p in PANELS_OF[w]))
    if way != desk.way:
        desk = to_way(desk, way)
    panel = next(p for p in PANELS_OF[way] if p in holds)
    return choose(attend(desk, panel), choice)
