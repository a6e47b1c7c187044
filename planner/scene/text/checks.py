"""What one entry of a scene says about another: ids, words within a line, beats that overlap.

`check_scene(scene)` raises SceneError for the first thing that cannot be, at its place in the
file. It takes a value and touches no file, so an editor may ask before it saves. Words are counted
as the pronouncer counts them (`audio.words.transcript`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise

from audio.errors import SceneError
from planner.scene import Beat, Line, Scene
from planner.scene.words import words_of
from planner.told.wording import nearest

EVERY_WORD = (1, 1_000_000)  # a beat on a line without `say` and `words` takes all of it


class MissingWordError(SceneError):
    """A word that its line does not have. line_number : of the line, from 1."""

    def __init__(self, what: str, line_number: int, *, where: str, mend: str) -> None:
        self.line_number = line_number
        super().__init__(what, where=where, mend=mend)


def check_scene(scene: Scene) -> None:
    """Raise SceneError if entries of the scene contradict each other."""
    for check in (
        _line_ids,
        _heard,
        _beat_words,
        _toward,
        _cue_words,
        _note_words,
        _shot,
        _overlaps,
        _intents,
    ):
        check(scene)


def word_count(line: Line) -> int | None:
    """How many words a line says; None without `say`."""
    return None if line.say is None else len(words_of(line))


def _wrong(scene: Scene, key: str, what: str, mend: str) -> SceneError:
    return SceneError(what, where=scene.where_of(key), mend=mend)


def _line_ids(scene: Scene) -> None:
    first: dict[str, int] = {}
    for line in scene.lines:
        if line.id in first:
            raise _wrong(
                scene,
                f"lines/{line.number}/id",
                f'lines {first[line.id]} and {line.number} have the same id "{line.id}"',
                "give each its own",
            )
        first[line.id] = line.number


def _need_words(scene: Scene, key: str, name: str, number: int, words: Iterable[int]) -> None:
    """Refuse words that a line does not have."""
    count = word_count(scene.lines[number - 1])
    for word in words:
        if count is None:
            raise _wrong(
                scene,
                key,
                f"{name} names words, but line {number} has no say",
                f"add say: to line {number}",
            )
        if not 1 <= word <= count:
            has = "1 word" if count == 1 else f"{count} words"
            what = f"{name} names word {word}, but line {number} has {has}"
            mend = _words_there(count)
            raise MissingWordError(what, number, where=scene.where_of(key), mend=mend)


def _words_there(count: int) -> str:
    if count <= 1:
        return "name word 1" if count else "correct its say"
    return f"name words from 1 to {count}"


def _heard(scene: Scene) -> None:
    for line in scene.lines:
        key, heard = f"lines/{line.number}/heard", line.heard
        words = (*heard.stress, *heard.unstress, *heard.words_s)
        _need_words(scene, key, f"heard of line {line.number}", line.number, words)
        both = set(heard.stress) & set(heard.unstress)
        if both:
            raise _wrong(
                scene,
                key,
                f"word {min(both)} of line {line.number} is heard both stressed and unstressed",
                "keep one of the two",
            )
        _heard_times(scene, line, key)


def _heard_times(scene: Scene, line: Line, key: str) -> None:
    """Times of words run forward, within the part of the sound that is used."""
    spans = sorted(line.heard.words_s.items())
    for (word, (_, end_s)), (later, (start_s, _)) in pairwise(spans):
        if start_s < end_s:
            raise _wrong(
                scene,
                f"{key}/words/{later}",
                f"word {later} of line {line.number} begins at {start_s:g}s, before word "
                f"{word} ends ({end_s:g}s)",
                "let each word begin after the one before",
            )
    if line.clip_s and spans and spans[-1][1][1] > line.clip_s[1] - line.clip_s[0] + 1e-6:
        word, (_, end_s) = spans[-1]
        length_s = line.clip_s[1] - line.clip_s[0]
        raise _wrong(
            scene,
            f"{key}/words/{word}",
            f"word {word} of line {line.number} ends at {end_s:g}s, after the line ({length_s:g}s)",
            "count from the beginning of its clip",
        )


def _beat_words(scene: Scene) -> None:
    for index, beat in enumerate(scene.beats):
        if beat.line and beat.words:
            _need_words(scene, f"beats/{index}/words", f"beat {index + 1}", beat.line, beat.words)


def _toward(scene: Scene) -> None:
    known = [*scene.characters, *(name for name in scene.stage if name not in scene.characters)]
    for index, beat in enumerate(scene.beats):
        if beat.toward is None:
            continue
        key = f"beats/{index}/toward"
        if beat.toward == beat.who:
            what = f"beat {index + 1} is toward {beat.who}, who plays it"
            raise _wrong(scene, key, what, "name someone or something else, or leave toward out")
        if beat.toward not in known:
            what = f"beat {index + 1} is toward {beat.toward}, who is not in the scene"
            mend = f"{nearest(beat.toward, known)}; a thing is given a side under stage:"
            raise _wrong(scene, key, what, mend)


def _cue_words(scene: Scene) -> None:
    for index, cue in enumerate(scene.cues):
        if scene.lines[cue.line - 1].who == cue.who:
            raise _wrong(
                scene,
                f"cues/{index}/hears",
                f"cue {index + 1}: {cue.who} hears line {cue.line}, which is {cue.who}'s own",
                "name a line of someone else, or give the line a beat there",
            )
        _need_words(scene, f"cues/{index}/hears", f"cue {index + 1}", cue.line, (cue.word,))


def _note_words(scene: Scene) -> None:
    for index, note in enumerate(scene.notes):
        if note.line and note.words:
            _need_words(scene, f"notes/{index}/words", f"note {index + 1}", note.line, note.words)
    for index, meant in enumerate(scene.meant):
        if meant.line and meant.words:
            name = f"meant {index + 1}"
            _need_words(scene, f"meant/{index}/words", name, meant.line, meant.words)


def _shot(scene: Scene) -> None:
    """Lines and beats lie within the shot, if it is given; handles count as room."""
    if scene.shot is None:
        return
    first, last = scene.shot
    shot = f"the shot ({first}-{last})"
    for line in scene.lines:
        begins = scene.clock.frame_at(line.at_s)
        if begins > last + scene.handles:
            raise _wrong(
                scene,
                f"lines/{line.number}/at",
                f"line {line.number} begins on frame {begins}, after {shot}",
                "begin it earlier or lengthen the shot",
            )
    for index, beat in enumerate(scene.beats):
        if beat.frames is None:
            continue
        key, name = f"beats/{index}/frames", f"beat {index + 1}"
        if beat.frames[0] < first - scene.handles:
            raise _wrong(
                scene,
                key,
                f"{name} begins on frame {beat.frames[0]}, before {shot}",
                f"begin it at {first} or lengthen the shot",
            )
        if beat.frames[1] > last + scene.handles:
            raise _wrong(
                scene,
                key,
                f"{name} ends on frame {beat.frames[1]}, after {shot}",
                f"end it at {last} or lengthen the shot",
            )


def _overlaps(scene: Scene) -> None:
    """Beats of one character share no word of a line and no frame.

    A beat on words and one on frames can only be compared once the voice is read.
    """
    spans: dict[tuple[str, int | None], list[tuple[int, int, int]]] = {}
    for index, beat in enumerate(scene.beats):
        key = (beat.who, None if beat.frames else beat.line)
        spans.setdefault(key, []).append((*_span(beat), index))
    for early, late in _neighbours(spans.values()):
        if late[0] <= early[1]:
            first, second = sorted((early[2], late[2]))
            unit = "frame" if scene.beats[second].frames else "word"
            at = f"share {unit} {late[0]}"
            raise _wrong(
                scene,
                f"beats/{second}/{unit}s",
                f"beats {first + 1} and {second + 1} of {scene.beats[second].who} {at}",
                "a character plays one beat at a time; end one before the other begins",
            )


def _neighbours(
    groups: Iterable[list[tuple[int, int, int]]],
) -> Iterator[tuple[tuple[int, int, int], tuple[int, int, int]]]:
    for group in groups:
        ordered = sorted(group)
        yield from pairwise(ordered)


def _span(beat: Beat) -> tuple[int, int]:
    return beat.frames or beat.words or EVERY_WORD


def _intents(scene: Scene) -> None:
    """Every intent is in the shipped table or the scene's own."""
    if not (scene.beats or scene.cues or scene.intents):
        return
    from planner.intents import scene_intents

    known = scene_intents(scene)
    places = {f"beats/{i}/intent": beat.intent for i, beat in enumerate(scene.beats)}
    places |= {f"cues/{i}/intent": cue.intent for i, cue in enumerate(scene.cues)}
    for key, intent in places.items():
        if intent not in known:
            raise _wrong(scene, key, f'unknown intent "{intent}"', nearest(intent, sorted(known)))
