"""Beats: tag words or frames with an intent, change strength, nudge edges, untag. Pure functions.

Beats of one character may not overlap: a new tag, or a nudged edge, takes its words or frames from
its neighbours, which are shortened, split or, if nothing is left of them, removed.
"""

from __future__ import annotations

from dataclasses import replace

from planner.desk.beat_frames import beat_frames
from planner.desk.state import BeatAt, Desk, Frames, SuggestionOf, Words, edit, say
from planner.scene import Beat
from planner.shot.laid import Laid

STRENGTH_STEP = 0.1
FIRST_STRENGTH = 0.7  # of a new tag


def tag(desk: Desk, intent: str, *, strength: float | None = None) -> Desk:
    """Tag what is picked; a chosen beat changes its intent instead."""
    choice = desk.choice
    if isinstance(choice, SuggestionOf) and (index := beat_of(desk)) is not None:
        choice = BeatAt(index)
    if isinstance(choice, BeatAt):
        return _mean(desk, choice, intent)
    new = _new_beat(desk, intent, FIRST_STRENGTH if strength is None else strength)
    if new is None:
        return say(desk, "pick words or frames first")
    same = _same_place(desk, new)
    if same is not None:
        return _mean(desk, BeatAt(same), intent)
    return _placed(desk, new, None, f"tagged {_where(new)} {intent}")


def _mean(desk: Desk, at: BeatAt, intent: str) -> Desk:
    """Another intent for a beat."""
    if desk.scene.beats[at.index].intent == intent:
        return say(desk, f"beat {at.index + 1} is already {intent}")
    return _change(desk, at, f"beat {at.index + 1} is now {intent}", intent=intent)


def _new_beat(desk: Desk, intent: str, strength: float) -> Beat | None:
    match desk.choice:
        case Words(line, first, last):
            laid = desk.laid.line(line)
            if laid is None:
                return None
            toward = next((c for c in desk.scene.characters if c != laid.who), None)
            if len(desk.scene.characters) != 2:
                toward = None
            return Beat(intent, laid.who, line, (first, last), None, strength, toward)
        case Frames(first, last):
            who = desk.who or speaker_at(desk, first) or desk.scene.characters[0]
            return Beat(intent, who, None, None, (first, last), strength)
    return None


def speaker_at(desk: Desk, frame: int) -> str | None:
    """Who speaks at a frame, or spoke last before it, or speaks first after it."""
    before = [line for line in desk.laid.lines if line.frames[0] <= frame]
    if before:
        return before[-1].who
    return desk.laid.lines[0].who if desk.laid.lines else None


def _same_place(desk: Desk, new: Beat) -> int | None:
    for index, beat in enumerate(desk.scene.beats):
        if (beat.who, beat.line, beat.words, beat.frames) == (
            new.who, new.line, new.words, new.frames,
        ):  # fmt: skip
            return index
    return None


def beat_of(desk: Desk) -> int | None:
    """The index of the beat that is meant: the chosen one, or that of the chosen suggestion."""
    match desk.choice:
        case BeatAt(index):
            return index
        case SuggestionOf(suggestion_id):
            suggestion = desk.index.by_id.get(suggestion_id)
            beat = None if suggestion is None else suggestion.beat
            return beat if beat is not None and beat < len(desk.scene.beats) else None
        case Words(line, first, last):
            for place, one in enumerate(desk.scene.beats):
                words = one.words if one.line == line else None
                if words is not None and words[0] <= first and last <= words[1]:
                    return place
    return None


def change_strength(desk: Desk, steps: int) -> Desk:
    """Stronger or weaker by tenths, within 0..1."""
    index = beat_of(desk)
    if index is None:
        return say(desk, "choose a beat, or tag these words first")
    beat = desk.scene.beats[index]
    strength = round(min(1.0, max(0.0, beat.strength + steps * STRENGTH_STEP)), 2)
    if strength == beat.strength:
        return say(desk, "as strong as it gets" if steps > 0 else "as weak as it gets")
    return _change(desk, BeatAt(index), f"{beat.intent} at {strength:g}", strength=strength)


def remark(desk: Desk, text: str) -> Desk:
    """The writer's remark on a beat."""
    index = beat_of(desk)
    if index is None:
        return say(desk, "choose a beat, or tag these words first")
    return _change(desk, BeatAt(index), "remark kept", note=text)


def _change(desk: Desk, at: BeatAt, did: str, **parts: object) -> Desk:
    beats = list(desk.scene.beats)
    beats[at.index] = replace(beats[at.index], **parts)  # type: ignore[arg-type]
    choice = desk.choice if isinstance(desk.choice, Words) else at
    return edit(desk, did, choice=choice, beats=tuple(beats))


def untag(desk: Desk) -> Desk:
    """Take a beat away; its words play as neutral."""
    index = beat_of(desk)
    if index is None:
        return say(desk, "choose a beat first")
    beats = desk.scene.beats
    gone = edit(desk, f"untagged: {beats[index].intent}", beats=beats[:index] + beats[index + 1 :])
    return replace(gone, choice=None) if isinstance(desk.choice, BeatAt) else gone


def other_edge(desk: Desk) -> Desk:
    """Nudge the other edge of the chosen beat from now on."""
    if not isinstance(desk.choice, BeatAt):
        return say(desk, "choose a beat first")
    edge = "start" if desk.choice.edge == "end" else "end"
    return replace(desk, choice=BeatAt(desk.choice.index, edge), said=f"its {edge} moves now")  # type: ignore[arg-type]


def nudge_edge(desk: Desk, by: int) -> Desk:
    """The chosen edge by so many frames; a beat of words becomes one of frames."""
    choice = desk.choice
    if not isinstance(choice, BeatAt):
        return say(desk, "choose a beat first")
    beat = desk.scene.beats[choice.index]
    frames = beat_frames(desk.laid, beat)
    if frames is None:
        return say(desk, "this beat's words are not on the sound")
    at = frames[0] if choice.edge == "start" else frames[1]
    return drag_edge(desk, choice, at + by)


def drag_edge(desk: Desk, choice: BeatAt, to: int) -> Desk:
    """An edge to a frame, inside the shot and not past the other edge."""
    beat = desk.scene.beats[choice.index]
    frames = beat_frames(desk.laid, beat)
    if frames is None:
        return say(desk, "this beat's words are not on the sound")
    low, high = desk.laid.shot
    first, last = frames
    if choice.edge == "start":
        first = min(max(to, low), last)
    else:
        last = max(min(to, high), first)
    if (first, last) == frames:
        return say(desk, "no room that way")
    new = replace(beat, words=None, frames=(first, last))
    moved = _placed(desk, new, choice.index, f"{beat.intent} {first}-{last}")
    cursor = first if choice.edge == "start" else last
    at = moved.choice.index if isinstance(moved.choice, BeatAt) else choice.index
    return replace(moved, choice=BeatAt(at, choice.edge), cursor=cursor)


def nudge_words(desk: Desk, by: int) -> Desk:
    """The chosen edge of a beat of words, by a word."""
    choice = desk.choice
    if not isinstance(choice, BeatAt):
        return say(desk, "choose a beat first")
    beat = desk.scene.beats[choice.index]
    line = None if beat.line is None else desk.laid.line(beat.line)
    if beat.words is None or line is None:
        return say(desk, "this beat is one of frames; nudge it by frames")
    first, last = beat.words
    if choice.edge == "start":
        first = min(max(first + by, 1), last)
    else:
        last = max(min(last + by, len(line.words)), first)
    if (first, last) == beat.words:
        return say(desk, "no room that way")
    moved = _placed(desk, replace(beat, words=(first, last)), choice.index,
                    f"{beat.intent} on words {first}-{last}")  # fmt: skip
    at = moved.choice.index if isinstance(moved.choice, BeatAt) else choice.index
    return replace(moved, choice=BeatAt(at, choice.edge))


def _placed(desk: Desk, new: Beat, index: int | None, did: str) -> Desk:
    """Put a beat in, over its neighbours; beats are kept in order of their frames."""
    others = [b for i, b in enumerate(desk.scene.beats) if i != index]
    beats = [piece for other in others for piece in without(desk.laid, other, new)]
    beats.append(new)
    if index is None:
        beats.sort(key=lambda b: (beat_frames(desk.laid, b) or (0, 0), b.who))
    else:
        beats.remove(new)
        place = sum(len(without(desk.laid, b, new)) for b in desk.scene.beats[:index])
        beats.insert(place, new)
    at = next(i for i, beat in enumerate(beats) if beat is new)
    choice = BeatAt(at) if isinstance(desk.choice, BeatAt) else None
    return edit(desk, did, choice=choice, beats=tuple(beats))


def without(laid: Laid, beat: Beat, new: Beat) -> tuple[Beat, ...]:
    """What is left of `beat` when `new` takes its place: none, one or two pieces."""
    if beat.who != new.who:
        return (beat,)
    if beat.words is not None and new.words is not None:
        if beat.line != new.line:
            return (beat,)
        left = _left_of(beat.words, new.words)
        return tuple(replace(beat, words=span) for span in left)
    old, taken = beat_frames(laid, beat), beat_frames(laid, new)
    if old is None or taken is None or old[0] > taken[1] or old[1] < taken[0]:
        return (beat,)
    if beat.words is not None:
        return _words_left(laid, beat, taken)
    return tuple(replace(beat, frames=span) for span in _left_of(old, taken))


def _words_left(laid: Laid, beat: Beat, taken: tuple[int, int]) -> tuple[Beat, ...]:
    """The words of a beat that do not stand in the frames taken."""
    line = laid.line(beat.line or 0)
    if line is None or beat.words is None:
        return (beat,)
    words = line.words[beat.words[0] - 1 : beat.words[1]]
    before = [w.number for w in words if w.frames[1] < taken[0]]
    after = [w.number for w in words if w.frames[0] > taken[1]]
    return tuple(replace(beat, words=(side[0], side[-1])) for side in (before, after) if side)


def _left_of(old: tuple[int, int], taken: tuple[int, int]) -> list[tuple[int, int]]:
    pieces = [(old[0], min(old[1], taken[0] - 1)), (max(old[0], taken[1] + 1), old[1])]
    return [p for p in dict.fromkeys(pieces) if p[0] <= p[1]]


def _where(beat: Beat) -> str:
    if beat.words is not None:
        first, last = beat.words
        return f"word {first}" if first == last else f"words {first}-{last}"
    assert beat.frames is not None
    return f"frames {beat.frames[0]}-{beat.frames[1]}"
