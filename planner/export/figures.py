"""The figures of a shot, and the strip of key poses: one small figure each, over the words.

A strip is a row a character. A figure stands over the frame that its pose is for; where two would
touch, the main accent is kept before the attitude it rides on. It is drawn a moment later, when the
last of its parts has arrived. Pure.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from audio.reading import FloatArray
from planner.export.drawing import FAINT, SOFT, Drawing, Label, Pen, cut_to
from planner.export.figure_drawing import figure_strokes
from planner.export.plain import one_line
from planner.motion.figure import BOTTOM, TOP, Shape, figure_of
from planner.motion.performance import CharacterMotion, KeyMoment

if TYPE_CHECKING:
    from planner.export.facts import ShotFacts

HEAD_PX = 33.0
ARRIVED_S = 0.2  # after the hit: hands are there
WIDTH_HEADS = 2.5  # how far apart two figures stand at least
SMALL = 13.5  # px; on paper 277 mm wide these are 6.6 points
RANKS = {"reaction": 3, "accent": 2, "pose": 2, "gesture": 1}
STRIP_WIDTH = 1600.0
APART_S = 0.25  # of two key poses in a strip of its own
GUTTER = 24.0


@dataclass(frozen=True, slots=True, eq=False)
class ShotFigure:
    """A character drawn on every frame: shapes, and points (frames, points, 2) from first_frame."""

    motion: CharacterMotion
    shapes: tuple[Shape, ...]
    points: FloatArray

    def on(self, frame: int) -> FloatArray:
        """The points of a frame (of the nearest, outside the shot)."""
        index = min(max(frame - self.motion.first_frame, 0), len(self.points) - 1)
        found: FloatArray = self.points[index]
        return found


def shot_figures(facts: ShotFacts) -> tuple[ShotFigure, ...]:
    """A figure for each character shown."""
    performance = facts.performance
    rate = float(performance.frames_per_s)
    return tuple(
        ShotFigure(motion, *figure_of(motion, rate, tone=k))
        for k, motion in enumerate(performance.characters)
        if motion.who in facts.characters
    )


def key_poses(
    motion: CharacterMotion, frames: tuple[int, int], apart: float
) -> tuple[KeyMoment, ...]:
    """The key poses to draw: those that matter most, at least so many frames apart."""
    inside = [k for k in motion.keys if frames[0] <= k.frame <= frames[1]]
    kept: list[KeyMoment] = []
    for key in sorted(inside, key=lambda k: (-RANKS[k.of.split("/")[0]], k.frame)):
        if all(abs(key.frame - other.frame) >= apart for other in kept):
            kept.append(key)
    return tuple(sorted(kept, key=lambda k: k.frame))


def strip_height(head_px: float = HEAD_PX) -> float:
    """How high one row of figures is, in pixels."""
    return (BOTTOM - TOP) * head_px + SMALL + 6


def draw_strip(
    pen: Pen, figure: ShotFigure, frames: tuple[int, int], x_of: Callable[[int], float],
    top: float, rate: float, *, head_px: float = HEAD_PX, step_px: float,
) -> float:  # fmt: skip
    """One row of figures from `top` down; returns where the next thing may stand."""
    apart = WIDTH_HEADS * head_px / max(step_px, 0.1)
    hips = top - TOP * head_px
    foot = top + (BOTTOM - TOP) * head_px
    for key in key_poses(figure.motion, frames, apart):
        x = x_of(key.frame)
        drawn = min(key.frame + round(ARRIVED_S * rate), figure.motion.last_frame)
        pen.line(x, foot - 2, x, foot + SMALL + 4, 1.0, FAINT)
        pen.items += figure_strokes(figure.shapes, figure.on(drawn), x, hips, head_px)
        pen.add([Label(x + 4, foot + SMALL, str(key.frame), SMALL, ink=SOFT, halo=True)])
    return foot + SMALL + 6


def strip_drawings(facts: ShotFacts, *, head_px: float = 62.0) -> tuple[Drawing, ...]:
    """The key poses alone, row after row across the page, with the words under each."""
    return tuple(row for figure in facts.figures for row in strip_rows(facts, figure, head_px))


def strip_rows(
    facts: ShotFacts, figure: ShotFigure, head_px: float, width: float = STRIP_WIDTH
) -> tuple[Drawing, ...]:
    """One character's key poses, as many across as go in; none where it takes no pose."""
    apart = APART_S * float(facts.performance.frames_per_s)
    keys = key_poses(figure.motion, facts.frames, apart)
    wide = 2.9 * head_px
    across = max(1, int((width - 2 * GUTTER) // wide))
    return tuple(
        _strip_row(facts, figure, keys[k : k + across], head_px, wide, first=not k)
        for k in range(0, len(keys), across)
    )


def _strip_row(
    facts: ShotFacts, figure: ShotFigure, keys: Sequence[KeyMoment], head_px: float, wide: float,
    *, first: bool,
) -> Drawing:  # fmt: skip
    pen = Pen()
    top = 34.0 if first else 10.0
    who = one_line(figure.motion.who)
    if first:
        pen.add([Label(GUTTER, 24, f"{who}: key poses", 17, "bold")])
    hips = top - TOP * head_px
    foot = top + (BOTTOM - TOP) * head_px
    rate = float(facts.performance.frames_per_s)
    for k, key in enumerate(keys):
        x = GUTTER + (k + 0.5) * wide
        drawn = min(key.frame + round(ARRIVED_S * rate), figure.motion.last_frame)
        pen.items += figure_strokes(figure.shapes, figure.on(drawn), x, hips, head_px)
        words = words_around(facts, figure.motion.who, key.frame)
        said = cut_to(words, wide - 8, 13.0)
        pen.add([Label(x, foot + 16, str(key.frame), 14, "bold", anchor="middle"),
                 Label(x, foot + 33, said, 13, ink=SOFT, anchor="middle")])  # fmt: skip
    width = 2 * GUTTER + max(len(keys), 2) * wide
    return pen.drawing(width, foot + 44, f"{who}: key poses")


def words_around(facts: ShotFacts, who: str, frame: int) -> str:
    """What is said on a frame, by whoever speaks; the word itself with its neighbours."""
    for line in facts.laid.between(frame, frame):
        words = line.words
        near = [k for k, w in enumerate(words) if w.frames[0] - 3 <= frame <= w.frames[1] + 2]
        if near:
            low, high = max(near[0] - 1, 0), min(near[-1] + 2, len(words))
            text = " ".join(one_line(w.text) for w in words[low:high])
            return text if line.who == who else f"({one_line(line.who)}: {text})"
    return ""
