"""Beats: tag words, phrases or frames, change strength, toward, edges, remark, untag. Pure.

Beats of one character may not overlap: a new tag, or a nudged edge, takes its words or frames from
its neighbours, which are shortened, split or, if nothing is left of them, removed. What is taken is
said, and a remark outlives the beat it was written on.
"""

from __future__ import annotations

from dataclasses import replace

from planner.desk.choice import choose, phrase_at, words_of_phrase
from planner.desk.choices import BeatAt, Edge, Frames, Phrases, SuggestionOf, Words
from planner.desk.state import Desk, beat_frames, edit, say
from planner.scene import Beat

STRENGTH_STEP = 0.1
FIRST_STRENGTH = 0.7  # of a new tag
PICK_FIRST = "pick words or frames first"


def tag(desk: Desk, intent: str, *, strength: float | None = None) -> Desk:
    """Tag what is picked; a chosen beat changes its intent instead."""
    choice = desk.choice
    if isinstance(choice, Phrases):
        tagged = _each_phrase(desk, choice, intent, strength)
    elif isinstance(choice, SuggestionOf) and (index := beat_of(desk)) is not None:
        tagged = replace(_mean(desk, BeatAt(index), intent), choice=choice)
    elif isinstance(choice, BeatAt):
        tagged = _mean(desk, choice, intent)
    else:
        tagged = _tag_new(desk, intent, strength)
    if tagged.scene is desk.scene:
        return tagged
    return replace(tagged, last_tag=(intent, _strength_of(tagged, intent)))


def tag_again(desk: Desk) -> Desk:
    """The last tag once more on what is picked; then on to the next phrase without one."""
    if desk.last_tag is None:
        return say(desk, "no tag yet to repeat: t, or a number key, gives one")
    intent, strength = desk.last_tag
    return next_untagged(tag(desk, intent, strength=strength))


def tag_favourite(desk: Desk, number: int) -> Desk:
    """The intent of a number key."""
    if number > len(desk.favourites):
        return say(desk, f"no intent on {number} yet")
    return tag(desk, desk.favourites[number - 1])


def next_untagged(desk: Desk) -> Desk:
    """On to the next phrase that has no beat; what was said stays said."""
    at = phrase_at(desk)
    over = desk.facts.beats_of_phrase
    place = next((i for i in range(0 if at is None else at + 1, len(over)) if not over[i]), None)
    if place is None:
        said = f"{desk.said}; " if desk.said else ""
        return say(desk, f"{said}no phrase after it is untagged")
    return say(choose(desk, words_of_phrase(desk, place)), desk.said)


def _strength_of(desk: Desk, intent: str) -> float:
    """The strength of the beat just tagged."""
    index = beat_of(desk)
    found = None if index is None else desk.scene.beats[index]
    return found.strength if found is not None and found.intent == intent else FIRST_STRENGTH


def _each_phrase(desk: Desk, choice: Phrases, intent: str, strength: float | None) -> Desk:
    """Each phrase of a stretch of the script its own beat, in one change."""
    tagged = desk
    places = range(choice.first, choice.last + 1)
    for place in places:
        picked = replace(tagged, choice=words_of_phrase(tagged, place))
        tagged = _tag_new(picked, intent, strength)
    if tagged.scene == desk.scene:
        return say(desk, f"these are {intent} already")
    beats = tagged.scene.beats
    return edit(desk, f"{len(places)} phrases {intent}", choice=choice, beats=beats)


def _tag_new(desk: Desk, intent: str, strength: float | None) -> Desk:
    new = _new_beat(desk, intent, FIRST_STRENGTH if strength is None else strength)
    if new is None:
        return say(desk, PICK_FIRST)
    same = _same_place(desk, new)
    if same is not None:
        return _mean(desk, BeatAt(same), intent, strength)
    return _placed(desk, new, None, f"tagged {_where(new)} {intent}")


def _mean(desk: Desk, at: BeatAt, intent: str, strength: float | None = None) -> Desk:
    """Another intent for a beat."""
    beat = desk.scene.beats[at.index]
    new = beat.strength if strength is None else strength
    if (beat.intent, beat.strength) == (intent, new):
        return say(desk, f"it is {intent} already")
    did = f"{beat.intent} is now {intent}"
    return _change(desk, at, did, intent=intent, strength=new)


def _new_beat(desk: Desk, intent: str, strength: float) -> Beat | None:
    match desk.choice:
        case Words(line, first, last):
            laid = desk.facts.line.get(line)
            if laid is None:
                return None
            others = [c for c in desk.scene.characters if c != laid.who]
            toward = others[0] if len(others) == 1 else None
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
        case Words():
            return next(iter(beats_on(desk, desk.choice)), None)
        case Phrases(first):
            return next(iter(desk.facts.beats_of_phrase[first]), None)
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


def with_play(desk: Desk, play: str) -> Desk:
    """Another way to play the beat that is meant; "" plays it as its intent does."""
    index = beat_of(desk)
    if index is None:
        return say(desk, "choose a beat, or tag these words first")
    beat = desk.scene.beats[index]
    if beat.play == play:
        return say(desk, "that is how it is played already")
    did = f"{beat.intent}, played {play}" if play else f"{beat.intent}, played as the intent has it"
    return _change(desk, BeatAt(index), did, play=play)


def _change(desk: Desk, at: BeatAt, did: str, **parts: object) -> Desk:
    beats = list(desk.scene.beats)
    beats[at.index] = replace(beats[at.index], **parts)  # type: ignore[arg-type]
    choice = at if isinstance(desk.choice, BeatAt) else desk.choice
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
    """The other edge of the chosen beat, or word, moves from now on."""
    choice = desk.choice
    if not isinstance(choice, BeatAt | Words):
        return say(desk, "choose a beat or a word first")
    edge: Edge = "start" if choice.edge == "end" else "end"
    return replace(desk, choice=replace(choice, edge=edge), said=f"its {edge} moves now")


def nudge_edge(desk: Desk, by: int, *, by_frames: bool = False) -> Desk:
    """The chosen edge: of a beat of words by words, else by frames; `by_frames` makes it frames."""
    choice = desk.choice
    if not isinstance(choice, BeatAt):
        return say(desk, "choose a beat first")
    beat = desk.scene.beats[choice.index]
    frames = beat_frames(desk, beat)
    if frames is None:
        return say(desk, "this beat's words are not on the sound")
    if beat.words is not None and not by_frames:
        return _nudge_words(desk, choice, by)
    return drag_edge(desk, choice, (frames[0] if choice.edge == "start" else frames[1]) + by)


def drag_edge(desk: Desk, choice: BeatAt, to: int) -> Desk:
    """An edge to a frame, inside the shot and not past the other edge."""
    beat = desk.scene.beats[choice.index]
    frames = beat_frames(desk, beat)
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
    was = " (a beat of frames now, not of words)" if beat.words else ""
    new = replace(beat, words=None, frames=(first, last))
    return _edge_moved(desk, choice, new, f"{beat.intent} {first}-{last}{was}")


def snap_edge(desk: Desk, choice: BeatAt, to: int) -> Desk:
    """An edge to the word at a frame, for a beat of words; else to the frame itself."""
    beat = desk.scene.beats[choice.index]
    line = None if beat.line is None else desk.facts.line.get(beat.line)
    if beat.words is None or line is None:
        return drag_edge(desk, choice, to)
    inside = [w.number for w in line.words if w.frames[0] <= to] or [1]
    now = beat.words[0] if choice.edge == "start" else beat.words[1]
    return _nudge_words(desk, choice, inside[-1] - now)


def _nudge_words(desk: Desk, choice: BeatAt, by: int) -> Desk:
    """The chosen edge of a beat of words, by so many words."""
    beat = desk.scene.beats[choice.index]
    line = None if beat.line is None else desk.facts.line.get(beat.line)
    if beat.words is None or line is None:
        return say(desk, "this beat is one of frames; [ and ] nudge it")
    first, last = beat.words
    if choice.edge == "start":
        first = min(max(first + by, 1), last)
    else:
        last = max(min(last + by, len(line.words)), first)
    if (first, last) == beat.words:
        return say(desk, "no room that way")
    did = f"{beat.intent} on words {first}-{last}"
    return _edge_moved(desk, choice, replace(beat, words=(first, last)), did)


def _edge_moved(desk: Desk, choice: BeatAt, new: Beat, did: str) -> Desk:
    moved = _placed(desk, new, choice.index, did)
    at = moved.choice.index if isinstance(moved.choice, BeatAt) else choice.index
    frames = beat_frames(moved, moved.scene.beats[at])
    edge = 0 if choice.edge == "start" else 1
    cursor = moved.cursor if frames is None else frames[edge]
    return replace(moved, choice=BeatAt(at, choice.edge), cursor=cursor)


def face(desk: Desk) -> Desk:
    """Toward whom the beat is played: the next character, or nobody."""
    index = beat_of(desk)
    if index is None:
        return say(desk, "choose a beat, or tag these words first")
    beat = desk.scene.beats[index]
    options = (None, *(c for c in desk.scene.characters if c != beat.who))
    at = options.index(beat.toward) if beat.toward in options else 0
    toward = options[(at + 1) % len(options)]
    did = f"{beat.intent} toward {toward}" if toward else f"{beat.intent} toward nobody"
    return _change(desk, BeatAt(index), did, toward=toward)


def _placed(desk: Desk, new: Beat, index: int | None, did: str) -> Desk:
    """Put a beat in, over its neighbours; beats are kept in order of their frames."""
    others = [(i, b) for i, b in enumerate(desk.scene.beats) if i != index]
    pieces = {i: without(desk, other, new) for i, other in others}
    lost = [b for i, b in others if not pieces[i]]
    if index is None:
        new = _with_remarks(new, lost)
    beats = [piece for i, _ in others for piece in pieces[i]]
    if index is None:
        beats.append(new)
        beats.sort(key=lambda b: (beat_frames(desk, b) or (0, 0), b.who))
    else:
        beats.insert(sum(len(p) for i, p in pieces.items() if i < index), new)
    at = next(i for i, beat in enumerate(beats) if beat is new)
    choice = BeatAt(at) if isinstance(desk.choice, BeatAt) else None
    told = did + _told_of_loss(others, pieces)
    return edit(desk, told, choice=choice, beats=tuple(beats))


def _with_remarks(new: Beat, lost: list[Beat]) -> Beat:
    """The remarks of the beats it replaces, kept on the new one."""
    remarks = [b.note for b in lost if b.note]
    return replace(new, note="; ".join(remarks)) if remarks and not new.note else new


def _told_of_loss(others: list[tuple[int, Beat]], pieces: dict[int, tuple[Beat, ...]]) -> str:
    """Which beats went or were shortened, in words."""
    gone = [b.intent for i, b in others if not pieces[i]]
    cut = [b.intent for i, b in others if pieces[i] and pieces[i] != (b,)]
    told = f"; replaces {', '.join(gone)}" if gone else ""
    return told + (f"; shortens {', '.join(cut)}" if cut else "")


def without(desk: Desk, beat: Beat, new: Beat) -> tuple[Beat, ...]:
    """What is left of `beat` when `new` takes its place: none, one or two pieces.

    A remark stays with the first piece.
    """
    if beat.who != new.who:
        return (beat,)
    if beat.words is not None and new.words is not None:
        if beat.line != new.line:
            return (beat,)
        return _pieces(beat, "words", _left_of(beat.words, new.words))
    old, taken = beat_frames(desk, beat), beat_frames(desk, new)
    if old is None or taken is None or old[0] > taken[1] or old[1] < taken[0]:
        return (beat,)
    if beat.words is not None:
        return _pieces(beat, "words", _words_left(desk, beat, taken))
    return _pieces(beat, "frames", _left_of(old, taken))


def _pieces(beat: Beat, of: str, spans: list[tuple[int, int]]) -> tuple[Beat, ...]:
    made = [replace(beat, **{of: span}) for span in spans]  # type: ignore[arg-type]
    return tuple(replace(b, note="") if i else b for i, b in enumerate(made))


def _words_left(desk: Desk, beat: Beat, taken: tuple[int, int]) -> list[tuple[int, int]]:
    """The words of a beat that do not stand in the frames taken."""
    line = desk.facts.line.get(beat.line or 0)
    if line is None or beat.words is None:
        return []
    words = line.words[beat.words[0] - 1 : beat.words[1]]
    before = [w.number for w in words if w.frames[1] < taken[0]]
    after = [w.number for w in words if w.frames[0] > taken[1]]
    return [(side[0], side[-1]) for side in (before, after) if side]


def _left_of(old: tuple[int, int], taken: tuple[int, int]) -> list[tuple[int, int]]:
    pieces = [(old[0], min(old[1], taken[0] - 1)), (max(old[0], taken[1] + 1), old[1])]
    return [p for p in dict.fromkeys(pieces) if p[0] <= p[1]]


def _where(beat: Beat) -> str:
    if beat.words is not None:
        first, last = beat.words
        return f"word {first}" if first == last else f"words {first}-{last}"
    assert beat.frames is not None
    return f"frames {beat.frames[0]}-{beat.frames[1]}"


def beats_on(desk: Desk, words: Words) -> list[int]:
    """The beats that lie over some words, by their places in the scene."""
    places = {desk.facts.phrase_of.get((words.line, n)) for n in range(words.first, words.last + 1)}
    near = {i for p in places if p is not None for i in desk.facts.beats_of_phrase[p]}
    line = desk.facts.line[words.line]
    first, last = line.words[words.first - 1].frames[0], line.words[words.last - 1].frames[1]
    found = []
    for index in sorted(near):
        beat = desk.scene.beats[index]
        if beat.words is not None:
            inside = beat.words[0] <= words.last and beat.words[1] >= words.first
        else:
            inside = beat.frames is None or (beat.frames[0] <= last and beat.frames[1] >= first)
        if inside:
            found.append(index)
    return found
