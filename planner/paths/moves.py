"""Moves of one track: where it starts and stops, its path, spacing and settle.

A move is a stretch in which the speed stands out from the holds around it; stretches are cut where
the speed sinks deep between two peaks. The ends are found from the steps between frames: near its
ends an eased move's speed grows with the square of time, so the root of the speed is carried on in
a straight line to zero (minimum jerk, Flash & Hogan 1985). Even and quadratic eases come out within
a frame or so too; under noise the ends of moves longer than a second within two.

Measures, all relative to the move itself: straightness = chord / path (Batschelet 1981); bulge =
greatest distance from the chord / chord (Atkeson & Hollerbach 1985); peak over mean speed (1 even,
1.5708 sine, 1.875 minimum jerk); settle = frames from the arrival to rest, the arrival being the
furthest point where the move overshoots and comes back, else where nine tenths of the way are done.

Conventions: indexes count from 0 over the track's frames, ranges inclusive; `start` and `end` are
the same ends as fractions. A `MoveTable` holds columns, one value a move.
"""

from __future__ import annotations

from dataclasses import fields

import numpy as np

from audio.reading import FloatArray
from planner.paths.move_edges import edges
from planner.paths.move_settles import with_settles
from planner.paths.move_table import CURVE_POINTS, MoveTable
from planner.paths.ranges import (
    peak_within,
    range_indexes,
    resample,
    running_max,
    runs,
    time_at_share,
)
from planner.paths.signals import SPEED_NOISE, BoolArray, IntArray, Signal

PEAK_SHARE = 0.04  # of the fastest move within REACH_S: slower than that is a hold
PEAK_NOISE = 6.5  # times the noise of the speed
REACH_S = 3.0
FIGURE_SHARE = 0.3  # a track that hardly moves is measured against the figure's usual speed
VALLEY = 0.5  # of the lower peak: a deeper sink parts two moves
CORE_SHARE = 0.08  # of a move's own peak: what is slower beside it only creeps
FLAT = 0.75  # mean over peak speed from which a slide neither starts nor stops by itself
SIZE_OF_SHAKE = 4.0  # times the noise around it: what is smaller is no move
SHAKE_REACH = 6  # frames
SLOW_SHARE = 0.15  # of the fastest around: a slide, if flat
PLAIN_SLIDE_S = 2.0  # a flat stretch longer than this is a slide at any speed
ARRIVED = 0.9  # share of the way


def peak_speed_of(signal: Signal) -> float:
    """The fastest of a track, as a first idea of its moves."""
    return float(signal.speed.max())


def find_moves(
    signal: Signal, *, frames_per_s: float, figure_speed: float
) -> tuple[MoveTable, BoolArray]:
    """The moves of one track, and where it moves into a gap so that nothing can be measured.

    figure_speed : usual greatest speed of the figure's tracks, in units a frame. The mask has the
    shape (frames,).
    """
    reach = max(2, round(REACH_S * frames_per_s))
    fastest = np.maximum(running_max(signal.speed, reach), FIGURE_SHARE * figure_speed)
    floor = np.maximum(PEAK_SHARE * fastest, PEAK_NOISE * SPEED_NOISE * signal.shake)
    floor = np.maximum(floor, 1e-9 * max(figure_speed, 1e-300))
    first, last = runs(signal.speed > floor)
    first, last = cut_at_valleys(signal.speed, first, last)
    peak = peak_within(signal.speed, first, last)
    first, last = core_around(signal.speed, first, last, peak)
    start, end = edges(signal, first, last, peak)
    whole_first = np.round(start).astype(np.int64)
    whole_last = np.maximum(np.round(end).astype(np.int64), whole_first + 1)
    whole_last = np.minimum(whole_last, len(signal.speed) - 1)
    table = _measure(signal, whole_first, whole_last, start, end, peak)
    even = evenness(signal.speed, first, last, peak)
    real = _real(table, signal, fastest, frames_per_s, even)
    gaps = np.concatenate([[0], np.cumsum(~signal.known)])
    whole = gaps[table.last + 1] == gaps[table.first]
    lost = np.zeros(len(signal.speed), dtype=bool)
    for at in np.flatnonzero(real & ~whole):
        lost[table.first[at] : table.last[at] + 1] = True
    return with_settles(_rows(table, real & whole), signal, frames_per_s), lost


def cut_at_valleys(speed: FloatArray, first: IntArray, last: IntArray) -> tuple[IntArray, IntArray]:
    """Cut stretches where the speed sinks under VALLEY of the lower peak beside it.

    Every local minimum cuts at first; then the shallowest cuts are taken back, round by round.
    """
    if not len(first):
        return first, last
    inner = np.flatnonzero((speed[1:-1] <= speed[:-2]) & (speed[1:-1] < speed[2:])) + 1
    run = np.searchsorted(first, inner, side="right") - 1
    inside = (run >= 0) & (inner > first[np.maximum(run, 0)]) & (inner < last[np.maximum(run, 0)])
    cuts = inner[inside]
    while len(cuts):
        bounds = np.sort(np.concatenate([first, cuts]))
        peaks = np.maximum.reduceat(speed, bounds)
        # reduceat runs to the next bound; what lies between two stretches is slower than both
        place = np.searchsorted(bounds, cuts)
        depth = speed[cuts] / np.maximum(np.minimum(peaks[place - 1], peaks[place]), 1e-300)
        shallow = depth > VALLEY
        beside = np.diff(cuts, prepend=-1), np.diff(cuts, append=len(speed) + 1)
        before = np.where(np.arange(len(cuts)) > 0, np.roll(depth, 1), -1.0)
        after = np.where(np.arange(len(cuts)) < len(cuts) - 1, np.roll(depth, -1), -1.0)
        drop = shallow & (depth >= before) & (depth >= after) & (beside[0] > 0) & (beside[1] > 0)
        if not drop.any():
            break
        cuts = cuts[~drop]
    return np.sort(np.concatenate([first, cuts])), np.sort(np.concatenate([last, cuts]))


def core_around(
    speed: FloatArray, first: IntArray, last: IntArray, peak: IntArray
) -> tuple[IntArray, IntArray]:
    """Each stretch without what only creeps beside its peak: a drift before or after the move."""
    if not len(first):
        return first, last
    index, _ = range_indexes(first, last)
    owner = np.repeat(np.arange(len(first)), last - first + 1)
    creeps = np.flatnonzero(speed[index] <= CORE_SHARE * speed[peak[owner]])
    before = creeps[index[creeps] < peak[owner[creeps]]]
    after = creeps[index[creeps] > peak[owner[creeps]]]
    begin, end = first.copy(), last.copy()
    np.maximum.at(begin, owner[before], index[before] + 1)
    np.minimum.at(end, owner[after], index[after] - 1)
    return begin, end


def _measure(
    signal: Signal, first: IntArray, last: IntArray, start: FloatArray, end: FloatArray,
    peak: IntArray,
) -> MoveTable:  # fmt: skip
    """Every column but the settles."""
    curve = resample(signal.smooth, first, last, CURVE_POINTS)
    away = curve - curve[:, :1]
    chord = np.linalg.norm(away[:, -1], axis=1) if len(curve) else np.zeros(0)
    unit = away[:, -1] / np.maximum(chord, 1e-300)[:, None]
    along = np.einsum("mkd,md->mk", away, unit)
    aside = np.linalg.norm(away - along[:, :, None] * unit[:, None, :], axis=2)
    travelled = np.concatenate([
        np.zeros((len(curve), 1)),
        np.cumsum(np.linalg.norm(np.diff(curve, axis=1), axis=2), axis=1),
    ], axis=1)  # fmt: skip
    path = travelled[:, -1]
    size = np.linalg.norm(away, axis=2).max(axis=1, initial=0.0)
    length = np.maximum(end - start, 1.0)
    steps = np.maximum(signal.steps[peak], signal.steps[np.maximum(peak - 1, 0)])
    arrival = _arrival(travelled, first, last)
    nothing = np.zeros(len(first))
    fifth = CURVE_POINTS // 5
    return MoveTable(
        first=first, last=last, start=start, end=end, peak=peak, peak_speed=signal.speed[peak],
        size=size, chord=chord, path=path,
        bulge=aside.max(axis=1, initial=0.0) / np.maximum(chord, 1e-300),
        spacing=steps * length / np.maximum(path, 1e-300),
        arrival=arrival, settle=np.maximum(end - arrival, 0.0), overshoot=nothing,
        settles=np.full(len(first), -1), direction=unit,
        enters=_heading(travelled, curve, first_part=True),
        leaves=_heading(travelled, curve, first_part=False),
        curve=curve, travelled=travelled,
    ) if fifth else _empty()  # fmt: skip


def _empty() -> MoveTable:
    raise ValueError("CURVE_POINTS is too small")


def _arrival(travelled: FloatArray, first: IntArray, last: IntArray) -> FloatArray:
    """The time at which ARRIVED of the way is done."""
    return time_at_share(travelled, first, last, ARRIVED)


def _heading(travelled: FloatArray, curve: FloatArray, *, first_part: bool) -> FloatArray:
    """Direction of the first or the last fifth of the way, unit vectors."""
    if not len(curve):
        return np.zeros((0, curve.shape[2]))
    rows = np.arange(len(curve))
    total = travelled[:, -1:]
    if first_part:
        at = np.maximum(np.argmax(travelled >= 0.2 * total, axis=1), 1)
        vector = curve[rows, at] - curve[:, 0]
    else:
        at = np.minimum(np.argmax(travelled >= 0.8 * total, axis=1), CURVE_POINTS - 2)
        vector = curve[:, -1] - curve[rows, at]
    found: FloatArray = vector / np.maximum(np.linalg.norm(vector, axis=1), 1e-300)[:, None]
    return found


def evenness(speed: FloatArray, first: IntArray, last: IntArray, peak: IntArray) -> FloatArray:
    """Mean over greatest speed of each range: near 1 for a slide, 0.6 for an eased move."""
    sums = np.concatenate([[0.0], np.cumsum(speed)])
    mean = (sums[last + 1] - sums[first]) / (last - first + 1)
    even: FloatArray = mean / np.maximum(speed[peak], 1e-300)
    return even


def _real(
    table: MoveTable, signal: Signal, fastest: FloatArray, frames_per_s: float, even: FloatArray
) -> BoolArray:
    """False for slides and for what noise alone makes."""
    if not len(table):
        return np.zeros(0, dtype=bool)
    seconds = (table.end - table.start) / frames_per_s
    slow = table.peak_speed < SLOW_SHARE * fastest[table.peak]
    slide = (even > FLAT) & (slow | (seconds > PLAIN_SLIDE_S))
    shake = running_max(signal.shake, SHAKE_REACH)[table.peak]
    real: BoolArray = ~slide & (table.size > SIZE_OF_SHAKE * shake) & (table.size > 0)
    return real


def _rows(table: MoveTable, keep: BoolArray) -> MoveTable:
    return MoveTable(**{field.name: getattr(table, field.name)[keep] for field in fields(table)})
