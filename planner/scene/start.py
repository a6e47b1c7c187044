"""A first scene file from clips: lines one after the other, in neutral beats, ready to tag.

`scene_from_clips` gives the scene, `start_text` the file's text with comments that say what to do
next. Takes values and returns values; the clips are measured and the file is written by
`planner.commands.start`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from planner.frames import EDGE_FRAMES, Clock, FrameRate
from planner.scene import Beat, Line, Scene
from planner.scene.refound import said_by
from planner.scene.start_parts import StartPart
from planner.scene.text.checks import word_count
from planner.scene.text.plain import SPREAD, scene_plain, section_lines
from planner.scene.text.yaml_text import list_item

# Gap between two turns of an ordinary exchange: mean 208 ms over ten languages
# (Stivers et al. 2009, PNAS 106:10587-10592).
TURN_GAP_MS = 200.0
FIRST_FRAME = 1001
SPEAKER = "speaker"  # who speaks where no name is given
NEUTRAL = "neutral"
WORDS_A_ROW = 12
EMPTY: Mapping[int, Sequence[StartPart]] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class StartClip:
    """A clip to begin with.

    sound : its name as seen from the scene's folder; parts : its words cut into beats, all of them
    one beat if there are none.
    """

    sound: str
    duration_s: float
    say: str | None = None
    parts: tuple[StartPart, ...] = ()


def scene_from_clips(
    clips: Sequence[StartClip],
    *,
    who: Sequence[str] = (),
    rate: FrameRate,
    title: str = "",
    file: str = "scene.yaml",
) -> Scene:
    """The clips as lines of one scene, each a turn's gap after the one before.

    who : names taken in turn, so one name speaks every line and two alternate. Lines begin on a
    frame, the first that leaves the gap.
    Raises ValueError if there are no clips.
    """
    if not clips:
        raise ValueError("a scene needs a clip")
    names = tuple(who) or (SPEAKER,)
    clock = Clock(rate, FIRST_FRAME)
    lines = _one_after_the_other(clips, names, clock)
    return Scene(
        title=title,
        clock=clock,
        characters=tuple(dict.fromkeys(names)),
        lines=lines,
        beats=tuple(
            beat
            for line, clip in zip(lines, clips, strict=True)
            for beat in _neutral_beats(line, clip.parts)
        ),
        file=file,
    )


def _one_after_the_other(
    clips: Sequence[StartClip], names: Sequence[str], clock: Clock
) -> tuple[Line, ...]:
    lines: list[Line] = []
    free_s = 0.0
    for number, clip in enumerate(clips, start=1):
        # Up to the next frame's start, unless rounding alone puts the time past one.
        index = math.ceil(free_s * float(clock.rate.frames_per_s) - EDGE_FRAMES)
        frame = FIRST_FRAME + max(0, index)
        lines.append(
            Line(
                number=number,
                id=str(number),
                who=names[(number - 1) % len(names)],
                sound=clip.sound,
                at_s=clock.scene_s(frame),
                at_text=str(frame),
                say=clip.say,
            )
        )
        free_s = clock.scene_s(frame) + clip.duration_s + TURN_GAP_MS / 1000.0
    return tuple(lines)


def _neutral_beats(line: Line, parts: Sequence[StartPart]) -> list[Beat]:
    count = word_count(line)
    whole = (1, count) if count else None
    spans: list[tuple[int, int] | None] = [part.words for part in parts]
    return [
        Beat(intent=NEUTRAL, who=line.who, line=line.number, words=words, said=said_by(line, words))
        for words in spans or [whole]
    ]


def start_text(
    scene: Scene, *, intents: Sequence[str] = (), heard: Mapping[int, Sequence[StartPart]] = EMPTY
) -> str:
    """The scene as a file ready to tag, with comments.

    intents : the names one may use; heard : by line number, the parts with what was heard in them.
    """
    plain = {"title": "", **scene_plain(scene)}
    plain |= {"step": scene.clock.step}
    order = ["linebeat", "title", "rate", "first_frame", "step", "characters", "lines"]
    rows: list[str] = ["# A scene ready to tag. Lines that begin with # are remarks."]
    for key in order:
        rows += ["", *section_lines(key, plain[key])] if key in SPREAD else _short(key, plain[key])
    rows += ["", *_BEATS_REMARK, *_intent_rows(intents), "beats:"]
    told: set[int] = set()
    for beat, item in zip(scene.beats, plain["beats"], strict=True):
        if beat.line and beat.line not in told:
            rows += _word_rows(scene.lines[beat.line - 1])
            told.add(beat.line)
        remarks = [r for p in heard.get(beat.line or 0, ()) if p.words == beat.words
                   for r in p.remarks]  # fmt: skip
        rows += [f"  # heard: {remark}" for remark in remarks]
        rows += list_item(item, column=2)
    return "\n".join((*rows, "", *_CUES_REMARK)) + "\n"


def _short(key: str, value: object) -> list[str]:
    row = section_lines(key, value)[0]
    remark = _REMARKS.get(key)
    return [f"{row:<30}# {remark}" if remark else row]


def _word_rows(line: Line) -> list[str]:
    """The words of a line with their numbers, as remarks."""
    from audio.words.transcript import read_transcript

    if line.say is None:
        return [f"  # line {line.number} has no say: yet; add it to tag single words"]
    words = read_transcript(line.say).words
    shown = [f"{number} {_one_line(word)}" for number, word in enumerate(words, start=1)]
    return [
        "  # " + "  ".join(shown[start : start + WORDS_A_ROW])
        for start in range(0, len(shown), WORDS_A_ROW)
    ]


def _one_line(word: str) -> str:
    return "".join(c if c.isprintable() else " " for c in word)


def _intent_rows(intents: Sequence[str]) -> list[str]:
    rows: list[str] = []
    row = "# Intents:"
    for index, name in enumerate(intents):
        piece = f" {name}" + ("," if index < len(intents) - 1 else "")
        if len(row) + len(piece) > 88:
            rows.append(row)
            row = "#"
        row += piece
    return [*rows, row] if intents else []


_REMARKS = {
    "rate": "frames a second: 24, 25, 23.976, 29.97df...",
    "step": "2 for on twos",
}
_BEATS_REMARK = (
    "# Tag next: what the character wants, over which words. Lines are split at sentences and",
    "# pauses; split or join them where the thought changes (words: 1-4, then words: 5-7). Give",
    "# each part its intent, say how strongly (strength: 0.7) and toward whom (toward: NAME). What",
    "# was heard is a remark to judge, no intent. Then: linebeat plan on this file.",
)
_CUES_REMARK = (
    "# What a listener reacts to, by line/word:",
    "# cues:",
    "#   - {who: NAME, hears: 1/4, intent: surprised}",
)
