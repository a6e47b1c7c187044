"""Orders: a character's suggestions as curves and as what each adds to which channel.

A row says: this curve, times so much, later by so many frames, goes into that channel. The kinds of
a plan differ only in where their amounts come from: an attitude is the difference to the one
before, a settle a share of the move it ends, a hold a little of it on, everything else a row of the
table. What ends away from rest stays until a later move of its part takes over.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from audio.reading import FloatArray
from planner.motion.body import SHIFT, SINK
from planner.motion.curves import Marks
from planner.motion.performance import GivenUp, Spread
from planner.motion.table import Effect, MotionTable
from planner.motion.ways import side_of, ways_of
from planner.plan.suggestion import Suggestion

STEP, IN_STEP, ASIDE, EARLY = range(4)  # which value of a curve a row takes
SECOND_WAY = 0.6  # of a size, for each further way of a direction
LEAST = 1e-4
CONTENDS = {"accent": 6, "gesture": 5, "reaction": 4, "head-move": 3, "weight-shift": 3,
            "anticipation": 2, "follow": 1}  # fmt: skip
# What takes over from a move that ended away from rest: (kinds).
TAKEN_OVER = {
    "anticipation": ("accent", "head-move", "pose", "reaction"),
    "head-move": ("head-move", "pose", "reaction"),
    "reaction": ("pose", "head-move", "reaction"),
    "follow": ("pose", "head-move", "reaction", "accent"),
    "gesture": ("gesture", "pose"),
    "weight-shift": ("weight-shift", "pose"),
    "brow": ("brow", "pose", "reaction"),
    "hold": ("pose", "head-move", "reaction", "hold"),
    "accent": ("pose", "accent", "head-move"),
}  # fmt: skip
_AXES = {"head": ("head.up", "head.turn"), "chest": ("chest.bend", "chest.tip")}
LEAN = 0.55  # heads that the shoulders go across the picture for a radian of lean
REACH_DEGREES = 18.0  # what a whole reach of the neck counts for beside degrees


@dataclass(slots=True)
class Rows:
    """Curves and rows, collected for one character."""

    marks: list[Marks] = field(default_factory=list)
    keys: list[Marks] = field(default_factory=list)
    curve: list[int] = field(default_factory=list)
    channel: list[int] = field(default_factory=list)
    amount: list[float] = field(default_factory=list)
    late: list[int] = field(default_factory=list)
    value: list[int] = field(default_factory=list)

    def new_curve(self, marks: Marks, keys: Marks | None = None) -> int:
        """A curve; its number."""
        self.marks.append(marks)
        self.keys.append(marks if keys is None else keys)
        return len(self.marks) - 1

    def add(
        self, curve: int, channel: int, amount: float, late: int = 0, value: int = STEP
    ) -> None:
        """One row, unless it is nothing."""
        if abs(amount) > LEAST:
            self.curve.append(curve)
            self.channel.append(channel)
            self.amount.append(amount)
            self.late.append(late)
            self.value.append(value)


def chart_marks(
    entry: Suggestion, until: int | None = None, spread: Spread | None = None
) -> tuple[Marks, Marks]:
    """A suggestion's chart as marks and keys, cut before `until`; made up if it has none."""
    chart = entry.timing_chart
    if chart:
        marks = [(m.frame, m.at) for m in chart]
        keys = [(m.frame, m.at) for m in chart if m.mark == "key"]
    else:
        first, last = entry.frames
        hit = last if entry.hit is None else entry.hit
        marks = [(first, 0.0), (hit, 1.0)] if hit > first else [(first, 1.0)]
        marks += [(last, 0.0)] if last > hit else []
        keys = marks
    if spread is not None:
        marks, keys = _spread(marks, spread), _spread(keys, spread)
    if until is not None:
        marks = [m for m in marks if m[0] <= until] or marks[:1]
        keys = [m for m in keys if m[0] <= until]
        if not keys or keys[-1] != marks[-1]:
            keys.append(marks[-1])
    sighs = entry.kind == "breath" and entry.direction == "down"
    if (entry.kind == "hold" or sighs) and len(marks) > 1:
        marks = keys = _slowing(marks, 3 if sighs else 2)
    if entry.kind == "settle":  # half way is furthest past the end
        marks = [(f, 1.0 - abs(2.0 * at - 1.0)) for f, at in marks]
        keys = [(f, 1.0 - abs(2.0 * at - 1.0)) for f, at in keys]
    return tuple(zip(*marks, strict=True)), tuple(zip(*keys, strict=True))  # type: ignore[return-value]


def _spread(marks: Sequence[tuple[int, float]], spread: Spread) -> list[tuple[int, float]]:
    """The rise from one level to the other on the frames it got; the rest as it was."""
    high = next(at for frame, at in marks if frame == spread.planned[1])
    first, last = spread.frames
    return [(first, marks[0][1]), (last, high), *(m for m in marks if m[0] > last)]


def slowing_marks(first: int, last: int) -> Marks:
    """A way back that nobody asked for: ever slower, so that it ends in a hold unseen."""
    frames, shares = zip(*_slowing([(first, 0.0), (last, 1.0)], 3), strict=True)
    return frames, shares


def _slowing(marks: Sequence[tuple[int, float]], power: int) -> list[tuple[int, float]]:
    """A hold's drift, or a sigh: ever slower, between its first and last mark."""
    (first, low), (last, high) = marks[0], marks[-1]
    found = {first: low}
    for u in (0.06, 0.15, 0.28, 0.42, 0.58, 0.76, 1.0):
        frame = first + round(u * (last - first))
        share = (frame - first) / max(last - first, 1)
        found[frame] = low + (high - low) * (1 - (1 - share) ** power)
    return sorted(found.items())


def settle_conflicts(own: Sequence[Suggestion]) -> tuple[dict[str, int | None], list[GivenUp]]:
    """Two orders to one part on the same frames: which is cut, and at which frame (None: whole).

    Attitudes, holds, settles and what layers on a move contend with nobody.
    """
    cut: dict[str, int | None] = {}
    given_up: list[GivenUp] = []
    by_part: dict[str, list[Suggestion]] = {}
    for entry in own:
        if entry.kind in CONTENDS:
            by_part.setdefault(entry.part, []).append(entry)
    for part, entries in by_part.items():
        held: Suggestion | None = None
        for entry in entries:
            if held is None or entry.frames[0] >= held.frames[1]:
                held = entry
                continue
            first_wins = CONTENDS[held.kind] > CONTENDS[entry.kind]
            loser, winner = (entry, held) if first_wins else (held, entry)
            from_frame = entry.frames[0]
            cut[loser.id] = None if loser is entry else from_frame
            given_up.append(GivenUp(loser.id, winner.id, entry.who, part, from_frame))
            held = winner
    return cut, given_up


def effect_terms(
    table: MotionTable, entry: Suggestion, facing: int
) -> tuple[list[tuple[int, float, float]], list[tuple[int, float, float]]]:
    """What a suggestion does at its extreme and in its preparation: (channel, amount, ms)."""
    side = side_of(entry.direction) or facing
    terms: list[tuple[int, float, float]] = []
    first: list[tuple[int, float, float]] = []
    share = entry.size
    ways = [w for w in ways_of(entry.direction) if table.knows(w)] or ["*"]
    for way in ways:
        effect: Effect = table.effect(entry.kind, entry.part, way, side)
        terms += [(c, a * share, late) for c, a, late in effect.does]
        first += [(c, a * share, late) for c, a, late in effect.prepare]
        share = entry.size * SECOND_WAY
    return terms, first


def aside_terms(
    table: MotionTable, part: str, amounts: Mapping[int, float], bulge: float, facing: int
) -> list[tuple[int, float]]:
    """How a move leaves the straight line: a way across its own, so that its path is an arc.

    A nod swings to the side and a turn dips; a hand goes out where it rises and rises where it goes
    out; weight goes over by sinking. bulge : in shares of the way.
    """
    index = table.index

    def amount(name: str) -> float:
        return amounts.get(index[name], 0.0)

    if part in _AXES:
        up_name, across_name = _AXES[part]
        up = amount(up_name) + (
            REACH_DEGREES * amount("head.reach") if part == "head" else amount("hips.bend")
        )
        across = amount(across_name) + 0.7 * amount("head.tip" if part == "head" else "chest.turn")
        way = float(np.hypot(up, across))
        if abs(up) >= abs(across):
            return [(index[across_name], bulge * way * facing)]
        return [(index[up_name], -bulge * way)]
    if part.endswith("hand"):
        out, up, on = (amount(f"{part}.{x}") for x in ("out", "up", "forward"))
        way = float(np.sqrt(out * out + up * up + on * on))
        if abs(up) >= abs(out) + 0.5 * abs(on):
            return [(index[f"{part}.out"], bulge * way)]
        return [(index[f"{part}.up"], bulge * way)]
    if part == "hips":
        return _trunk_aside(index, amount, bulge, facing)
    return []


def _trunk_aside(
    index: Mapping[str, int], amount: Callable[[str], float], bulge: float, facing: int
) -> list[tuple[int, float]]:
    """The trunk goes over by sinking, and down by swinging out: its arc across the picture."""
    across = SHIFT * amount("hips.shift") - facing * LEAN * np.radians(amount("hips.bend"))
    down = SINK * amount("hips.sink")
    way = float(np.hypot(across, down))
    if abs(across) >= abs(down):
        return [(index["hips.sink"], 1.3 * bulge * way / SINK)]
    return [(index["hips.shift"], facing * bulge * way / SHIFT)]


def vector_terms(vector: FloatArray) -> dict[int, float]:
    """The channels of a vector that are not zero."""
    return {i: a for i, a in enumerate(vector.tolist()) if abs(a) > LEAST}
