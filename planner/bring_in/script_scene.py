"""A script as a new scene, or its tags put into a scene that is there.

What a script does not say is filled in: a line without a sound is called `line_01.wav` (to be
recorded), a line without a place follows the one before by a turn's gap, at three words a second
where no clip says how long it is. Takes values and gives values.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import replace

from audio.errors import SceneError, UsageError
from audio.words.transcript import read_transcript
from planner.bring_in.script import Script, ScriptBeat, ScriptLine
from planner.frames import Clock, FrameRate
from planner.scene import Beat, Cue, Line, Scene
from planner.scene.start import FIRST_FRAME, TURN_GAP_MS, StartClip
from planner.told.wording import nearest

WORDS_A_SECOND = 3.0  # common practice: 160 to 190 words a minute are timed for dialogue
_SPAN = re.compile(r"([0-9.]+)\s*s?\s*-\s*([0-9.]+)\s*s?")


def scene_of_script(
    script: Script, clips: Sequence[StartClip] = (), *, rate: FrameRate, file: str = "scene.yaml"
) -> Scene:
    """A scene with the script's lines, beats and cues.

    clips : one a line, in order, or none. rate : where the script names none.
    Raises UsageError if there are not as many clips as lines, SceneError for a time or rate that
    is none.
    """
    if clips and len(clips) != len(script.lines):
        raise UsageError(
            f"{len(clips)} clips for the {len(script.lines)} lines of {script.file}",
            mend="give a clip a line, in order, or none",
        )
    clock = _clock(script, rate)
    lines = _lines(script, clips, clock)
    speakers = [line.who for line in script.lines]
    listeners = [c.who for line in script.lines for c in line.cues]
    others = [b.who for line in script.lines for b in line.beats] + [
        b.who for _, b in script.between
    ]
    return Scene(
        title=script.title, clock=clock,
        characters=tuple(dict.fromkeys([*speakers, *listeners, *others])),
        lines=lines, beats=_beats(script), cues=_cues(script), file=file,
    )  # fmt: skip


def with_script(scene: Scene, script: Script) -> Scene:
    """The scene with the script's words, beats and cues instead of its own.

    Lines are matched by id, else by order. Raises UsageError if they do not match.
    """
    by_id = {line.id: line for line in scene.lines}
    named = [line.id for line in script.lines if line.id]
    if len(script.lines) != len(scene.lines) or any(name not in by_id for name in named):
        raise UsageError(
            f"{script.file} has other lines than {scene.file}",
            mend="keep a paragraph for each line, or start a new scene from the script",
        )
    order = [by_id[s.id].number if s.id else n for n, s in enumerate(script.lines, start=1)]
    if sorted(order) != [line.number for line in scene.lines]:
        raise UsageError(f"{script.file} names a line twice", mend="give each line its own id")
    says = {n: s.say for n, s in zip(order, script.lines, strict=True)}
    lines = tuple(
        line if _same(line.say, says[line.number]) else replace(line, say=says[line.number] or None)
        for line in scene.lines
    )
    ordered = replace(
        script,
        lines=tuple(s for _, s in sorted(zip(order, script.lines, strict=True),
                                         key=lambda pair: pair[0])),
    )  # fmt: skip
    return replace(scene, lines=lines, beats=_beats(ordered), cues=_cues(ordered))


def check_intents(script: Script, known: Collection[str]) -> None:
    """Refuse an intent that is in no table. Raises SceneError at its paragraph."""
    used = [(line.where, beat.intent) for line in script.lines for beat in line.beats]
    used += [(line.where, cue.intent) for line in script.lines for cue in line.cues]
    used += [(script.file, beat.intent) for _, beat in script.between]
    for where, intent in used:
        if intent not in known:
            raise SceneError(f'unknown intent "{intent[:60]}"', where=where,
                             mend=nearest(intent, sorted(known)))  # fmt: skip


def _same(old: str | None, new: str) -> bool:
    return " ".join((old or "").split()) == new


def _clock(script: Script, rate: FrameRate) -> Clock:
    if script.rate is not None:
        try:
            rate = FrameRate.parse(script.rate)
        except ValueError as problem:
            raise SceneError(str(problem), where=script.file) from None
    first = FIRST_FRAME if script.first_frame is None else script.first_frame
    return Clock(rate, first, script.step or 1)


def _lines(script: Script, clips: Sequence[StartClip], clock: Clock) -> tuple[Line, ...]:
    lines: list[Line] = []
    free_s = 0.0
    for number, told in enumerate(script.lines, start=1):
        clip = clips[number - 1] if clips else None
        at_text = told.at or str(clock.frame_at(free_s + 0.999 / clock.rate.nominal))
        at_s = _at_s(at_text, clock, told.where)
        words = len(read_transcript(told.say).words)
        duration_s = clip.duration_s if clip else max(0.5, words / WORDS_A_SECOND)
        lines.append(
            Line(
                number=number, id=told.id or str(number), who=told.who,
                sound=clip.sound if clip else told.sound or f"line_{number:02d}.wav",
                at_s=at_s, at_text=at_text, clip_s=None if clip else _span(told),
                say=told.say or None,
            )
        )  # fmt: skip
        free_s = at_s + duration_s + TURN_GAP_MS / 1000.0
    return tuple(lines)


def _at_s(text: str, clock: Clock, where: str) -> float:
    try:
        if text.endswith("s"):
            return float(text[:-1])
        return clock.scene_s(int(text))
    except ValueError:
        raise SceneError(f'"at {text[:40]}" is no frame and no time', where=where,
                         mend="write at 1001, or at 2.5s") from None  # fmt: skip


def _span(told: ScriptLine) -> tuple[float, float] | None:
    if not told.clip:
        return None
    match = _SPAN.fullmatch(told.clip)
    try:
        if match and float(match[1]) < float(match[2]):
            return float(match[1]), float(match[2])
    except ValueError:
        pass
    raise SceneError(f'"clip {told.clip[:40]}" is no part of a sound', where=told.where,
                     mend="write clip 0.5s-2.4s")  # fmt: skip


def _beats(script: Script) -> tuple[Beat, ...]:
    """All beats in the script's order."""
    found: list[Beat] = []
    for number, line in enumerate((None, *script.lines)):
        found += [_beat(b, number) for b in (line.beats if line else ())]
        found += [_beat(b, number) for before, b in script.between if before == number]
    return tuple(found)


def _beat(told: ScriptBeat, line: int) -> Beat:
    return Beat(
        told.intent, told.who, line if told.words else None, told.words, told.frames,
        told.strength, told.toward, told.note,
    )  # fmt: skip


def _cues(script: Script) -> tuple[Cue, ...]:
    return tuple(
        Cue(c.who, number, c.word, c.intent, c.strength)
        for number, line in enumerate(script.lines, start=1)
        for c in line.cues
    )
