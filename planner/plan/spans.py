"""Which words play under which beat: a line cut into spans, one a beat.

Conventions: a beat tags words (counted from 1) or frames (inclusive), or the whole of its line;
words no beat tags play as neutral. Where two beats claim a syllable, the one that names words
wins, then the earlier in the file. Frames of a beat in which its character does not speak make a
listening beat.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby

from audio.errors import SceneError
from audio.reading import VoiceReading
from planner.intents import Intent, blend, intent_named
from planner.lexicon import Remark, remark_of
from planner.plan.context import Span
from planner.plan.ideas import remarked
from planner.plan.plays import PLAYS, as_played
from planner.scene import Beat, Line, Scene
from planner.told.wording import nearest

Tagged = tuple[int, Beat]  # a beat and its index in the scene


def spans_of(
    scene: Scene,
    line: Line,
    reading: VoiceReading,
    intents: Mapping[str, Intent],
    beats: Sequence[Tagged],
) -> tuple[Span, ...]:
    """The line's spans in time order, from its `beats_by_line`. Raises SceneError for bad words."""
    owner = _owners(scene, line, reading, beats)
    spans: list[Span] = []
    position = 0
    for index, group in groupby(owner):
        length = len(list(group))
        beat = scene.beats[index] if index is not None else None
        spans.append(
            Span(
                len(spans) + 1, index, acted(scene, intents, beat, index),
                beat.toward if beat else None,
                position, position + length - 1, beat.note if beat else "",
                remark_of(beat.note) if beat else Remark(), beat.play if beat else "",
            )
        )  # fmt: skip
        position += length
    return tuple(spans)


def beats_by_line(scene: Scene) -> dict[int, list[Tagged]]:
    """For each line the beats that may tag it, with their index in the scene."""
    found: dict[int, list[Tagged]] = {line.number: [] for line in scene.lines}
    of_who: dict[str, list[int]] = {}
    for line in scene.lines:
        of_who.setdefault(line.who, []).append(line.number)
    for k, beat in enumerate(scene.beats):
        numbers = [beat.line] if beat.line is not None else of_who.get(beat.who, [])
        for number in numbers:
            if number in found:
                found[number].append((k, beat))
    return found


def played(
    scene: Scene, intents: Mapping[str, Intent], beat: Beat | None, index: int | None
) -> Intent:
    """The intent of a beat at its strength; neutral where none is tagged."""
    neutral = intents["neutral"]
    if beat is None:
        return blend(neutral, neutral, 1.0)
    return blend(
        intent_named(scene, intents, beat.intent, f"beats/{index}"), neutral, beat.strength
    )


def acted(
    scene: Scene, intents: Mapping[str, Intent], beat: Beat | None, index: int | None
) -> Intent:
    """The intent of a beat as it is acted: with its writer's remark and the play it takes.

    Raises SceneError for a play that does not exist.
    """
    intent = played(scene, intents, beat, index)
    if beat is None:
        return intent
    remark = remark_of(beat.note)
    if beat.play and beat.play not in PLAYS:
        raise SceneError(
            f'beat {(index or 0) + 1} asks for the play "{beat.play}"',
            where=scene.where(f"beats/{index}"), mend=nearest(beat.play, PLAYS),
        )  # fmt: skip
    intent = remarked(intent, remark, intents.get(remark.hides or ""))
    return as_played(intent, beat.play) if beat.play else intent


def _owners(
    scene: Scene, line: Line, reading: VoiceReading, beats: Sequence[Tagged]
) -> list[int | None]:
    """For each syllable the index of its beat, or None."""
    owner: list[int | None] = [None] * len(reading.syllables)
    by_words = [(k, b) for k, b in beats if not b.frames and b.line == line.number]
    by_frames = [(k, b) for k, b in beats if b.frames and b.who == line.who]
    for k, beat in by_words:
        if beat.words is None:
            owner = [k if known is None else known for known in owner]
            continue
        first, last = beat.words
        if reading.words and not 1 <= first <= last <= len(reading.words):
            raise SceneError(
                f"beat {k + 1} tags words {first}-{last}, line {line.id} has "
                f"{len(reading.words)}", where=scene.where(f"beats/{k}"),
                mend=f"tag words between 1 and {len(reading.words)}",
            )  # fmt: skip
        if not reading.words:
            raise SceneError(
                f"beat {k + 1} tags words, but line {line.id} has no text",
                where=scene.where(f"beats/{k}"), mend="give the line its say:, or tag frames:",
            )  # fmt: skip
        for i, syllable in enumerate(reading.syllables):
            if syllable.word is not None and first <= syllable.word + 1 <= last:
                owner[i] = k if owner[i] is None else owner[i]
    for k, beat in by_frames:
        low_s = scene.clock.scene_s((beat.frames or (0, 0))[0])
        high_s = scene.clock.scene_s((beat.frames or (0, 0))[1] + 1)
        for i, syllable in enumerate(reading.syllables):
            if low_s <= line.at_s + syllable.nucleus_s < high_s and owner[i] is None:
                owner[i] = k
    return owner


def listening_beats(
    scene: Scene, spoken: Mapping[int, Sequence[Span]]
) -> tuple[tuple[int, Beat], ...]:
    """Beats given by frames in which their character says nothing."""
    used = {s.beat for spans in spoken.values() for s in spans}
    return tuple((k, b) for k, b in enumerate(scene.beats) if b.frames and k not in used)
