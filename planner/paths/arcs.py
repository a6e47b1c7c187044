"""Paths of moves: straight, along one axis, the same way back, broken.

Measures and their source: bulge = greatest distance from the chord / chord (Atkeson & Hollerbach
1985); a circular arc of 18 degrees has 0.04. That a path should curve, and come back another way,
is common practice. A break is a frame whose position leaves the curve through its neighbours (the
cubic through two on either side) sideways, against the step length there; a corner of 40 degrees
reads 0.2.

What it does not do: judge moves too small to be seen, or eyes, lids, brows and jaw, which
may well run straight.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from audio.reading import FloatArray
from planner.paths.figure import Figure, Track
from planner.paths.findings import OPEN, Finding, frozen_map, on_frames
from planner.paths.parts import CARRYING_PARTS
from planner.paths.signals import SMOOTH_NOISE, Signal

SURE_SIZE = 0.1  # of the figure: in a smaller move nothing is certain
SURE_FRAMES = 5.0  # at 24: in a shorter move neither
BULGE_USUAL = 0.04  # of the chord; common practice, an arc of 18 degrees
BULGE_LOOK = 0.02  # of the chord: flatter than that is told
BULGE_SURE = 0.003  # what people move is that flat about once a minute
AXIS_USUAL = 0.02  # of the size: less aside than this is a move along one axis
CURVED = 0.06  # of the chord: nothing to look closer at
BULGE_ERROR = 0.008
BACK_USUAL = 0.05  # of the chord between the ways there and back
BACK_LOOK = 0.03
BACK_SURE = 0.0095
BACK_UNSEEN = 0.0035  # of the figure: nearer together is one path to the eye
BACK_WITHIN_S = 2.0  # a way back later than this is not seen as the same
BACK_HOME = 0.2  # of the size: how near it must come back
BREAK_USUAL = 0.2  # of the step length; a corner of 40 degrees
BREAK_SURE = 0.5  # of the step length, to be certain
BREAK_OF_FIGURE = 0.004  # what leaves the curve by less is not seen
BREAK_SURE_OF_FIGURE = 0.008
BREAK_TIMES = 8.0  # what the drawings around leave their curves by
BREAK_SPEED = 0.3  # of the move's greatest step: slower turns are ends of moves
OUTER_STEP = 0.2  # of the inner steps: nearer points do not tell where the curve goes
BREAK_PATH = 0.01  # of the path: what leaves it by less is not seen
BREAK_APART = 3  # frames between two breaks of one move
ERRORS = 2.5  # deviations that count as the measurement's error
STRAIGHT_PARTS = ("eyes", "lids", "brows", "jaw")


def arc_findings(figure: Figure) -> Iterator[Finding]:
    """All findings about the paths of single moves."""
    for track in figure.tracks:
        if track.point.part in STRAIGHT_PARTS:
            continue
        large = figure.large_moves(track)
        for move in large:
            yield from _straight(figure, track, int(move))
        yield from _ways_back(figure, track, large)
        yield from _breaks(figure, track, large)


def sure_of(figure: Figure, track: Track, size: float, frames: float) -> bool:
    """True for a part that acts, in a move that is large and long enough to be seen for certain."""
    return bool(
        track.point.part not in CARRYING_PARTS
        and size >= SURE_SIZE * figure.extent
        and frames >= SURE_FRAMES * figure.per_trade_frame
    )


def bow_of(points: FloatArray) -> tuple[float, float]:
    """How far a path bows out over its chord, and the chord; noise evened out.

    points : shape (frames, dims), first to last. What lies aside of the chord is fitted by a sine
    arch and its first overtone over the way done; the fit's greatest height counts.
    """
    chord = points[-1] - points[0]
    length = float(np.linalg.norm(chord))
    if length <= 0.0 or len(points) < 4:
        return 1.0, length
    away = points - points[0]
    along = away @ chord / length
    aside = away - along[:, None] * (chord / length)
    way = np.clip(along / length, 0.0, 1.0)
    shapes = np.stack([np.sin(np.pi * way), np.sin(2 * np.pi * way), 1.0 - way, way], axis=1)
    fitted = np.linalg.lstsq(shapes, aside, rcond=None)[0]
    even = np.linspace(0.0, 1.0, 33)
    arch = np.stack([np.sin(np.pi * even), np.sin(2 * np.pi * even)], axis=1) @ fitted[:2]
    return float(np.linalg.norm(arch, axis=1).max()) / length, length


def _error(track: Track, length: float) -> float:
    return ERRORS * SMOOTH_NOISE * track.signal.noise / max(length, 1e-300)


def _straight(figure: Figure, track: Track, move: int) -> Iterator[Finding]:
    """A move whose path is a straight line; told as one axis where that axis is the picture's."""
    moves = track.moves
    first, last = int(moves.first[move]), int(moves.last[move])
    curved = (
        moves.bulge[move] > CURVED + ERRORS * SMOOTH_NOISE * track.signal.noise / moves.size[move]
    )
    if curved or moves.chord[move] < 0.5 * moves.size[move]:
        return
    bow, chord = bow_of(track.signal.flow[first : last + 1])
    if bow >= BULGE_LOOK:
        return
    error = ERRORS * track.signal.noise * np.sqrt(2.0 / (last - first + 1)) / max(chord, 1e-300)
    frames = figure.move_frames(track, move)
    sure = (
        bow < BULGE_SURE + 0.5 * error
        and error < BULGE_ERROR
        and sure_of(figure, track, chord, last - first)
    )
    yield Finding(
        "straight-path", figure.who, frames, (track.point.part,),
        frozen_map({"bulge": bow, "straightness": float(moves.straightness[move]),
                    "size": float(moves.size[move]), "error": error}),
        frozen_map({"bulge": (BULGE_USUAL, OPEN)}), sure,
        f"{track.name} runs straight {on_frames(frames)}: over {chord:.0f} {figure.unit} it leaves "
        f"the straight line by {bow:.1%} of the way (give or take {error:.1%}), usual is "
        f"{BULGE_USUAL:.0%} or more; a snap or a mechanical move may be meant",
        (track.name,), weight=chord,
    )  # fmt: skip
    yield from _one_axis(figure, track, move, sure)


def _one_axis(figure: Figure, track: Track, move: int, sure: bool) -> Iterator[Finding]:
    """A move in which only one coordinate changes."""
    curve = track.moves.curve[move]
    ranges = np.ptp(curve, axis=0)
    axis = int(np.argmax(ranges))
    others = float(np.linalg.norm(np.delete(ranges, axis)))
    share = others / max(float(ranges[axis]), 1e-300)
    error = 2.0 * _error(track, float(ranges[axis]))
    if share >= AXIS_USUAL:
        return
    frames, name = figure.move_frames(track, move), "xyz"[axis]
    yield Finding(
        "one-axis", figure.who, frames, (track.point.part,),
        frozen_map({"aside": share, "axis": name, "size": float(ranges[axis]), "error": error}),
        frozen_map({"aside": (AXIS_USUAL, OPEN)}),
        sure and share + min(error, share) < AXIS_USUAL and error < BULGE_USUAL,
        f"{track.name} moves along {name} alone {on_frames(frames)}: {ranges[axis]:.0f} "
        f"{figure.unit} that way and {others:.1f} any other, {share:.1%} (usual: {AXIS_USUAL:.0%} "
        "or more); a flat turn may be meant",
        (track.name,), weight=float(ranges[axis]),
    )  # fmt: skip


def _ways_back(figure: Figure, track: Track, large: np.ndarray) -> Iterator[Finding]:
    """Two moves in a row, there and back, on one path."""
    moves = track.moves
    for there, back in pairwise(large):
        wait = (moves.start[back] - moves.end[there]) / figure.frames_per_s
        size = max(float(moves.size[there]), float(moves.size[back]))
        home = float(np.linalg.norm(moves.curve[back, -1] - moves.curve[there, 0]))
        begins = float(np.linalg.norm(moves.curve[back, 0] - moves.curve[there, -1]))
        similar = min(moves.chord[there], moves.chord[back]) >= 0.6 * size
        if wait > BACK_WITHIN_S or max(home, begins) > BACK_HOME * size or not similar:
            continue
        apart = ways_apart(moves.curve[there], moves.curve[back])
        if apart >= BACK_LOOK:
            continue
        error = np.sqrt(2.0) * _error(track, size)
        frames = (figure.move_frames(track, int(there))[0], figure.move_frames(track, int(back))[1])
        yield Finding(
            "same-way-back", figure.who, frames, (track.point.part,),
            frozen_map({"apart": apart, "size": size, "error": error}),
            frozen_map({"apart": (BACK_USUAL, OPEN)}),
            (apart + error < BACK_SURE or apart * size < BACK_UNSEEN * figure.extent)
            and sure_of(figure, track, size, frames[1] - frames[0]),
            f"{track.name} comes back the way it went {on_frames(frames)}: over {size:.0f} "
            f"{figure.unit} the two paths lie {apart:.1%} of the way apart (give or take "
            f"{error:.1%}), usual is {BACK_USUAL:.0%} or more; a recoil may be meant",
            (track.name,), weight=size,
        )  # fmt: skip


def ways_apart(there: FloatArray, back: FloatArray) -> float:
    """Greatest distance between two paths, the second walked backwards, over the first's chord.

    there, back : shape (points, dims). Compared at equal shares of their length, across the chord.
    """
    way, home = _by_length(there), _by_length(back[::-1])
    chord = way[-1] - way[0]
    length = float(np.linalg.norm(chord))
    unit = chord / max(length, 1e-300)
    difference = way - home
    across = difference - (difference @ unit)[:, None] * unit
    return float(np.linalg.norm(across, axis=1).max() / max(length, 1e-300))


def _by_length(curve: FloatArray) -> FloatArray:
    """The path resampled at even shares of its length; shape kept."""
    walked = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(curve, axis=0), axis=1))])
    even = np.linspace(0.0, walked[-1], len(curve))
    return np.stack([np.interp(even, walked, axis) for axis in curve.T], axis=1)


def off_the_curve(signal: Signal) -> tuple[FloatArray, FloatArray, FloatArray]:
    """How far each position lies aside of the cubic through its neighbours, and the step there.

    The cubic runs over the length of the path, so that uneven spacing is no fault. Returns three
    arrays of shape (frames,): distance, mean step (0 where the neighbours do not tell), and by how
    much noise is multiplied in the distance.
    """
    p = signal.flow
    aside, step, gain = (np.zeros(len(p)) for _ in range(3))
    if len(p) < 5:
        return aside, step, gain
    steps = [signal.steps[k : len(p) - 4 + k] for k in range(4)]
    inner = 0.5 * (steps[1] + steps[2])
    tells = np.minimum(steps[0], steps[3]) >= OUTER_STEP * np.maximum(inner, 1e-300)
    nodes = np.stack([-steps[0] - steps[1], -steps[1], steps[2], steps[2] + steps[3]])
    nodes = np.where(tells, nodes, np.array([[-2.0], [-1.0], [1.0], [2.0]]))
    weights = np.ones_like(nodes)
    for k in range(4):
        for other in range(4):
            if other != k:
                between = nodes[other] - nodes[k]
                weights[k] *= nodes[other] / np.where(between == 0, 1.0, between)
    curve = sum(
        w[:, None] * p[k : len(p) - 4 + k] for w, k in zip(weights, (0, 1, 3, 4), strict=True)
    )
    off = p[2:-2] - curve
    along = p[3:-1] - p[1:-3]
    unit = along / np.maximum(np.linalg.norm(along, axis=1), 1e-300)[:, None]
    off = off - np.einsum("fd,fd->f", off, unit)[:, None] * unit
    aside[2:-2] = np.where(tells, np.linalg.norm(off, axis=1), 0.0)
    step[2:-2] = np.where(tells, 0.25 * (steps[0] + steps[1] + steps[2] + steps[3]), 0.0)
    gain[2:-2] = np.sqrt(1.0 + np.sum(weights**2, axis=0))
    return aside, step, gain


def _breaks(figure: Figure, track: Track, large: np.ndarray) -> Iterator[Finding]:
    """Drawings at which the path of a move has a corner or a bump."""
    if not len(large):
        return
    signal, moves = track.drawn, track.moves
    aside, step, gain = off_the_curve(signal)
    share = aside / np.maximum(step, 1e-300)
    jumped = np.zeros(len(share), dtype=bool)
    for jump in signal.jumps:
        jumped[max(jump.index - 3, 0) : jump.index + 4] = True
    seen_floor = BREAK_OF_FIGURE * figure.extent
    suspect = np.flatnonzero((share > BREAK_USUAL) & (aside > seen_floor) & (step > 0) & ~jumped)
    if not len(suspect):
        return
    at = track.at[suspect] / figure.step
    for move in large:
        inside = suspect[(at > moves.first[move]) & (at < moves.last[move])]
        if not len(inside):
            continue
        first, last = np.searchsorted(track.at, figure.step * moves.first[move]), inside[-1] + 2
        fast = BREAK_SPEED * signal.steps[first:last].max()
        sides = np.minimum(signal.steps[inside - 1], signal.steps[inside])
        error = ERRORS * gain * signal.noise / np.maximum(step, 1e-300)
        seen = (sides >= fast) & (aside[inside] > BREAK_PATH * moves.path[move])
        seen &= share[inside] - 0.5 * error[inside] > BREAK_USUAL
        rough = _roughness(aside, inside)
        yield from _worst_breaks(figure, track, inside[seen], aside, step, error, rough)


def _roughness(aside: FloatArray, inside: np.ndarray) -> float:
    """How far the drawings around lie off their curves, the broken ones left out."""
    low, high = max(int(inside[0]) - 8, 0), int(inside[-1]) + 9
    around = np.ones(high - low, dtype=bool)
    for at in inside:
        around[max(int(at) - 2 - low, 0) : int(at) + 3 - low] = False
    calm = aside[low:high][around[: len(aside[low:high])]]
    return float(np.quantile(calm, 0.8)) if len(calm) else float("inf")


def _worst_breaks(
    figure: Figure,
    track: Track,
    where: np.ndarray,
    aside: FloatArray,
    step: FloatArray,
    errors: FloatArray,
    rough: float,
) -> Iterator[Finding]:
    """One finding for each group of neighbouring drawings, at its worst."""
    left = list(where[np.argsort(-aside[where])])
    while left:
        at = int(left[0])
        left = [k for k in left if abs(int(k) - at) > BREAK_APART]
        error = float(errors[at])
        share = float(aside[at] / step[at])
        frames = figure.drawn_frames(track, at, at)
        sure = share - error > BREAK_SURE and aside[at] > max(
            BREAK_SURE_OF_FIGURE * figure.extent, BREAK_TIMES * rough
        )
        yield Finding(
            "arc-break", figure.who, frames, (track.point.part,),
            frozen_map({"off_the_arc": share, "distance": float(aside[at]), "error": error}),
            frozen_map({"off_the_arc": (0.0, BREAK_USUAL)}),
            sure and track.point.part not in CARRYING_PARTS,
            f"{track.name} breaks its arc {on_frames(frames)}: it lies {aside[at]:.1f} "
            f"{figure.unit} off the curve of its neighbours, {share:.0%} of a frame's step (usual: "
            f"under {BREAK_USUAL:.0%}); a hit against something may be meant",
            (track.name,), weight=float(aside[at]),
        )  # fmt: skip
