"""The user's ear overrules the machine's: stresses, the edges of words, what is said. Pure.

Kept under `heard:` and `say:` of a line. Seconds are of the line's clip; words count from 1. Where
two words touch, retiming one's edge takes the other's along.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from audio.reading import VoiceReading
from planner.desk.choices import Choice, Words
from planner.desk.state import Desk, edit, reading_key, say
from planner.scene import Beat, Cue, Heard, Line, Note, Scene
from planner.scene.word_diff import new_places

PICK_FIRST = "choose a word first"
TOUCHING_S = 0.02  # words nearer than this share their edge


def next_stress(desk: Desk) -> Desk:
    """The chosen word as stressed, then as not stressed, then as read again."""
    choice = desk.choice
    if not isinstance(choice, Words):
        return say(desk, PICK_FIRST)
    line = desk.scene.lines[choice.line - 1]
    heard, number = line.heard, choice.last
    word = desk.facts.line[choice.line].words[number - 1].text
    stress = tuple(n for n in heard.stress if n != number)
    unstress = tuple(n for n in heard.unstress if n != number)
    if number in heard.stress:
        unstress, did = (*unstress, number), f'you hear no stress on "{word}"'
    elif number in heard.unstress:
        did = f'"{word}" as it was read'
    else:
        stress, did = (*stress, number), f'you hear "{word}" stressed'
    new = replace(heard, stress=tuple(sorted(stress)), unstress=tuple(sorted(unstress)))
    return _with_line(desk, replace(line, heard=new), did)


def retime(desk: Desk, by: int) -> Desk:
    """The chosen word's edge by so many frames, kept between its neighbours' other edges."""
    choice = desk.choice
    if not isinstance(choice, Words):
        return say(desk, PICK_FIRST)
    number = choice.first if choice.edge == "start" else choice.last
    line, words = desk.scene.lines[choice.line - 1], desk.shot.heard[choice.line].words
    times = {n: (w.start_s, w.end_s) for n, w in enumerate(words, start=1)}
    start_s, end_s = times[number]
    frame_s = desk.scene.rate.start_s(1)
    at_s = (start_s if choice.edge == "start" else end_s) + by * frame_s
    beside = number - 1 if choice.edge == "start" else number + 1
    touching = beside in times and _gap(times, number, beside) < TOUCHING_S
    low, high = _room(desk, choice, times, number, frame_s, touching)
    if not low <= at_s <= high:
        return say(desk, "no room that way: a word keeps a frame, and its neighbour one too")
    new = dict(line.heard.words_s)
    new[number] = (at_s, end_s) if choice.edge == "start" else (start_s, at_s)
    if touching:
        other = times[beside]
        new[beside] = (other[0], at_s) if choice.edge == "start" else (at_s, other[1])
    rounded = {n: (round(a, 3), round(b, 3)) for n, (a, b) in sorted(new.items())}
    heard = replace(line.heard, words_s=MappingProxyType(rounded))
    did = f'"{words[number - 1].text}": its {choice.edge} at {at_s:.2f} s'
    return _with_line(desk, replace(line, heard=heard), did)


def _gap(times: Mapping[int, tuple[float, float]], one: int, other: int) -> float:
    first, second = min(one, other), max(one, other)
    return times[second][0] - times[first][1]


def _room(
    desk: Desk, choice: Words, times: Mapping[int, tuple[float, float]], number: int,
    frame_s: float, touching: bool,
) -> tuple[float, float]:  # fmt: skip
    """Earliest and latest second for the edge."""
    start_s, end_s = times[number]
    if choice.edge == "start":
        before = times.get(number - 1)
        low = 0.0 if before is None else before[0] + frame_s if touching else before[1]
        return low, end_s - frame_s
    after = times.get(number + 1)
    last_s = desk.shot.heard[choice.line].clip.duration_s
    high = last_s if after is None else after[1] - frame_s if touching else after[0]
    return start_s + frame_s, high


def _with_line(desk: Desk, line: Line, did: str) -> Desk:
    lines = tuple(line if old.number == line.number else old for old in desk.scene.lines)
    return edit(desk, did, lines=lines)


def respoken(desk: Desk, line: Line, reading: VoiceReading) -> Desk:
    """A line with other words, or other sounds of them, and what was heard of it.

    Beats, cues, notes and the ear's corrections go with their words, found again by a diff; a beat
    all of whose words are gone goes too, and that is said.
    """
    old = [(n, w.text) for n, w in enumerate(desk.shot.heard[line.number].words)]
    places = {a + 1: b + 1 for a, b in new_places(old, [w.text for w in reading.words]).items()}
    line = replace(line, heard=_moved_ear(line.heard, places))
    scene = desk.scene
    lines = tuple(line if other.number == line.number else other for other in scene.lines)
    beats = [_moved_beat(b, line.number, places) for b in scene.beats]
    lost = [b.intent for b, new in zip(scene.beats, beats, strict=True) if new is None]
    changed = replace(
        scene, lines=lines, beats=tuple(b for b in beats if b is not None),
        cues=tuple(c for c in (_moved_cue(c, line.number, places) for c in scene.cues) if c),
        notes=tuple(_moved_note(n, line.number, places) for n in scene.notes),
    )  # fmt: skip
    did = f"line {line.number} says it anew" + (f"; gone: {', '.join(lost)}" if lost else "")
    return _taken(desk, changed, reading, line.number, did)


def _taken(desk: Desk, scene: Scene, reading: VoiceReading, number: int, did: str) -> Desk:
    """The edit on a desk that knows the new reading."""
    read = {**desk.read, reading_key(scene.lines[number - 1]): reading}
    knowing = replace(desk, read=read)
    parts = {name: getattr(scene, name) for name in ("lines", "beats", "cues", "notes")}
    kept = _kept(desk.choice, number, len(reading.words))
    return replace(edit(knowing, did, **parts), choice=kept)


def _kept(choice: Choice | None, number: int, count: int) -> Words | None:
    """The words of the line that were chosen, as many of them as it still has: more may follow."""
    if not isinstance(choice, Words) or choice.line != number or not count:
        return None
    return replace(choice, first=min(choice.first, count), last=min(choice.last, count))


Places = Mapping[int, int]


def _span(words: Sequence[int], places: Places) -> tuple[int, int] | None:
    found = [places[n] for n in range(words[0], words[1] + 1) if n in places]
    return (min(found), max(found)) if found else None


def _moved_beat(beat: Beat, line: int, places: Places) -> Beat | None:
    if beat.line != line or beat.words is None:
        return beat
    words = _span(beat.words, places)
    return None if words is None else replace(beat, words=words)


def _moved_cue(cue: Cue, line: int, places: Places) -> Cue | None:
    if cue.line != line:
        return cue
    return replace(cue, word=places[cue.word]) if cue.word in places else None


def _moved_note(note: Note, line: int, places: Places) -> Note:
    if note.line != line or note.words is None:
        return note
    words = _span(note.words, places)
    return replace(note, words=words, line=line if words else None)


def _moved_ear(heard: Heard, places: Places) -> Heard:
    return replace(
        heard, stress=tuple(places[n] for n in heard.stress if n in places),
        unstress=tuple(places[n] for n in heard.unstress if n in places),
        words_s=MappingProxyType({places[n]: s for n, s in heard.words_s.items() if n in places}),
    )  # fmt: skip
