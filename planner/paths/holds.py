"""Holds: drift, frozen, and planted parts that slide.

A hold is what lies between two moves, SHORTEST or longer. It is cut into nine blocks whose means
quiet the noise. A moving hold that slows is no fault (common practice: it eases on by at most a
twentieth of the last move); one whose last third goes on as fast as the others is a drift. A part
that the scene calls planted must not slide at all. Frozen means that nothing moves beyond the
noise.

Conventions: indexes count from 0, ranges inclusive; amounts in the file's unit, rates a second.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from audio.reading import FloatArray
from planner.paths.figure import Figure, Track
from planner.paths.findings import OPEN, Finding, frozen_map, on_frames
from planner.paths.ranges import runs
from planner.paths.signals import IntArray

SHORTEST = 10.0  # frames at 24; shorter rests are no holds
FROZEN_SHORTEST = 12.0  # frames at 24; a still of half a second is seen
BLOCKS = 9
TRIM = 1  # frame left out at both ends, where the moves end and begin
DRIFT_OF_MOVE = 0.025  # of the last move: half of what a moving hold may ease on
DRIFT_OF_FIGURE = 0.005
DRIFT_SURE_OF_FIGURE = 0.01  # less than that is seen by measuring only
BREATH_OF_FIGURE = 0.01  # breathing lifts these parts by so much
BREATHING_PARTS = ("head", "chest", "shoulders", "hips")
STEADY = 0.6  # last third's speed over the fastest third's: more than that does not slow
STRAIGHT_SLIDE = 0.75  # net over travelled: less than that wanders, as breathing does
PLANTED_OF_FIGURE = 0.0025
FROZEN_OF_MOVE = 0.002  # of the last move, or the figure's size where there is none
_SIDES = (("left", "right"), ("up", "down"))


def hold_findings(figure: Figure) -> Iterator[Finding]:
    """All findings about what happens between moves."""
    for track in figure.tracks:
        first, last = find_holds(track, figure)
        if len(first):
            yield from _holds(figure, track, first, last)
        yield from _planted(figure, track)


def find_holds(track: Track, figure: Figure) -> tuple[IntArray, IntArray]:
    """First and last index of every hold of a track (the moves' own end frames belong to it).

    Where the part is planted other rules hold (see `_planted`).
    """
    still = track.signal.known & ~track.lost
    for part, from_frame, to_frame in figure.planted:
        if part == track.point.part:
            low = max(from_frame - figure.first_frame, 0)
            still[low : max(to_frame - figure.first_frame + 1, 0)] = False
    for first, last in zip(track.moves.first, track.moves.last, strict=True):
        still[first + 1 : last] = False
    begin, end = runs(still)
    long = end - begin >= SHORTEST * figure.per_trade_frame
    return begin[long], end[long]


def block_means(points: FloatArray, first: IntArray, last: IntArray) -> FloatArray:
    """Means of nine even blocks of each range (trimmed), shape (ranges, BLOCKS, dims)."""
    begin, end = first + TRIM, last + 1 - TRIM
    bounds = begin[:, None] + ((end - begin)[:, None] * np.arange(BLOCKS + 1)) // BLOCKS
    centre = points.mean(axis=0)
    sums = np.concatenate([np.zeros((1, points.shape[1])), np.cumsum(points - centre, axis=0)])
    width = np.maximum(np.diff(bounds, axis=1), 1)
    lower = np.minimum(bounds[:, :-1], len(points) - 1)
    found: FloatArray = (sums[lower + width] - sums[lower]) / width[:, :, None] + centre
    return found


def _holds(figure: Figure, track: Track, first: IntArray, last: IntArray) -> Iterator[Finding]:
    """Drifts and frozen holds of a track, measured together."""
    signal, moves = track.signal, track.moves
    means = block_means(signal.flow, first, last)
    net = means[:, -1] - means[:, 0]
    amount = np.linalg.norm(net, axis=1)
    travelled = np.linalg.norm(np.diff(means, axis=1), axis=2).sum(axis=1)
    wander = np.linalg.norm(means - means.mean(axis=1, keepdims=True), axis=2).max(axis=1)
    block_noise = signal.noise / np.sqrt(np.maximum((last - first - 1) / BLOCKS, 1.0))
    size = _last_move(moves.last, moves.size, first, figure.extent)
    floor = np.maximum(DRIFT_OF_MOVE * size, DRIFT_OF_FIGURE * figure.extent)
    floor = np.maximum(floor, 8.0 * block_noise)
    if track.point.part in BREATHING_PARTS:
        floor = np.maximum(floor, BREATH_OF_FIGURE * figure.extent)
    slides = (amount > floor) & (amount > STRAIGHT_SLIDE * travelled)
    for k in np.flatnonzero(slides):
        span = (int(first[k]), int(last[k]))
        yield from _slide(figure, track, span, net[k], float(floor[k]))
    long = last - first >= FROZEN_SHORTEST * figure.per_trade_frame
    changes = np.concatenate([[0], np.cumsum(signal.steps > 0)])
    still = changes[np.maximum(last - 1, first + 1)] == changes[first + 1]
    for k in np.flatnonzero(long & (wander - block_noise <= FROZEN_OF_MOVE * size)):
        span, usual = (int(first[k]), int(last[k])), FROZEN_OF_MOVE * float(size[k])
        yield _frozen(
            figure, track, span, float(wander[k]), usual, float(block_noise[k]), bool(still[k])
        )


def _last_move(ends: IntArray, sizes: FloatArray, first: IntArray, extent: float) -> FloatArray:
    """Size of the move before each hold; of the one after it at the start; else the figure's."""
    if not len(ends):
        return np.full(len(first), 0.2 * extent)
    at = np.clip(np.searchsorted(ends, first + 1, side="right") - 1, 0, len(ends) - 1)
    # a settle counts as the move that it belongs to: the greater of the last three
    earlier = [sizes[np.maximum(at - k, 0)] for k in range(3)]
    found: FloatArray = np.max(np.stack(earlier), axis=0)
    return found


def side_words(net: FloatArray, *, flat: bool) -> str:
    """A direction in words: picture coordinates as seen, space by its axes.

    >>> side_words(np.array([3.0, -3.0]), flat=True)
    'right and up'
    """
    length = float(np.linalg.norm(net))
    names = []
    for axis, value in enumerate(net):
        if abs(value) < 0.38 * length:  # under 22 degrees
            continue
        sign = int(value > 0)
        names.append(_SIDES[axis][sign] if flat else f"{'-+'[sign]}{'xyz'[axis]}")
    return " and ".join(names) or "nowhere"


def slide_range(along: FloatArray) -> tuple[float, float]:
    """Where a slide begins and ends: its tenth and its nine tenths, carried on in a straight line.

    along : shape (frames,), distance along the slide.
    """
    low, high = float(along[0]), float(along[-1])
    share = (along - low) / (high - low if high != low else 1.0)
    at = [int(np.argmax(share >= level)) for level in (0.1, 0.9)]
    times = []
    for k, level in zip(at, (0.1, 0.9), strict=True):
        before = share[max(k - 1, 0)]
        part = (level - before) / max(share[k] - before, 1e-12)
        times.append(max(k - 1, 0) + float(np.clip(part, 0.0, 1.0)))
    more = (times[1] - times[0]) / 8.0
    return max(times[0] - more, 0.0), min(times[1] + more, float(len(along) - 1))


def _quiet_along(track: Track, first: int, last: int, net: FloatArray) -> FloatArray:
    """Distance along a direction, smoothed over five frames, ends as means of three."""
    points = track.signal.smooth[first : last + 1]
    along = points @ (net / max(float(np.linalg.norm(net)), 1e-300))
    along[0], along[-1] = along[:3].mean(), along[-3:].mean()
    return along


def _slide(
    figure: Figure, track: Track, span: tuple[int, int], net: FloatArray, floor: float
) -> Iterator[Finding]:
    """A drift, if the stretch that slides does not slow."""
    begin, end = slide_range(_quiet_along(track, *span, net))
    first, last = span[0] + round(begin), span[0] + round(end)
    if last - first < BLOCKS:
        return
    means = block_means(track.signal.flow, np.array([first]), np.array([last]))[0]
    unit = net / max(float(np.linalg.norm(net)), 1e-300)
    thirds = [float((means[k + 2] - means[k]) @ unit) for k in (0, 3, 6)]
    fastest = max(thirds[0], thirds[1])
    if fastest <= 0 or thirds[2] < STEADY * fastest:
        return
    noise = track.signal.noise / np.sqrt(max((last - first - 1) / BLOCKS, 1.0))
    yield _drift(
        figure, track, (first, last), net, thirds[2] / fastest, 3.0 * noise / fastest, floor
    )


def _drift(
    figure: Figure, track: Track, span: tuple[int, int], net: FloatArray, steady: float,
    error: float, floor: float,
) -> Finding:  # fmt: skip
    frames = figure.frames(*span)
    amount = float(np.linalg.norm(net))
    rate = amount * figure.frames_per_s / max(span[1] - span[0], 1)
    way = side_words(net, flat=figure.flat)
    sure = steady - error > STEADY and amount > max(
        1.2 * floor, DRIFT_SURE_OF_FIGURE * figure.extent
    )
    return Finding(
        "drift", figure.who, frames, (track.point.part,),
        frozen_map({"amount": amount, "per_s": rate, "direction": way, "steady": steady,
                    "error": error}),
        frozen_map({"steady": (0.0, STEADY)}), sure,
        f"{track.name} drifts {on_frames(frames)}: it slides {amount:.1f} {figure.unit} {way}, "
        f"{rate:.1f} a second, and its last third is {steady:.0%} as fast as the rest (usual: a "
        f"moving hold slows to under {STEADY:.0%}); a slow lean may be meant",
        (track.name,), weight=amount,
    )  # fmt: skip


def _frozen(
    figure: Figure, track: Track, span: tuple[int, int], wander: float, usual: float,
    noise: float, still: bool,
) -> Finding:  # fmt: skip
    frames = figure.frames(*span)
    moved = "nothing at all changes" if still else f"it stays within {wander:.2g} {figure.unit}"
    seconds = (span[1] - span[0] + 1) / figure.frames_per_s
    return Finding(
        "frozen", figure.who, frames, (track.point.part,),
        frozen_map({"wander": wander, "seconds": seconds, "error": noise}),
        frozen_map({"wander": (usual, OPEN)}), wander + noise < usual or still,
        f"{track.name} is frozen {on_frames(frames)}: for {seconds:.1f} s {moved} (usual: a hold "
        f"keeps moving by {usual:.2g} {figure.unit} or more); a freeze may be meant",
        (track.name,), weight=seconds,
    )  # fmt: skip


def _planted(figure: Figure, track: Track) -> Iterator[Finding]:
    """A planted part that slides."""
    signal = track.signal
    for part, from_frame, to_frame in figure.planted:
        first = max(from_frame - figure.first_frame, 0)
        last = min(to_frame - figure.first_frame, len(signal.flow) - 1)
        if part != track.point.part or last - first < 4 or not signal.known[first : last + 1].any():
            continue
        span = np.array([first]), np.array([last])
        means = block_means(signal.flow, *span)[0]
        away = np.linalg.norm(means - means[0], axis=1)
        furthest = means[int(np.argmax(away))] - means[0]
        amount = float(away.max())
        error = 3.0 * signal.noise / np.sqrt(max((last - first - 1) / BLOCKS, 1.0))
        usual = PLANTED_OF_FIGURE * figure.extent
        if amount <= usual:
            continue
        begin, end = slide_range(_quiet_along(track, first, last, furthest))
        frames = figure.frames(first + begin, first + end)
        rate = amount * figure.frames_per_s / max(end - begin, 1.0)
        way = side_words(furthest, flat=figure.flat)
        yield Finding(
            "drift", figure.who, frames, (part,),
            frozen_map({"amount": amount, "per_s": rate, "direction": way, "error": error}),
            frozen_map({"amount": (0.0, usual)}), amount - error > usual,
            f"{track.name} is planted and slides {on_frames(frames)}: {amount:.1f} {figure.unit} "
            f"{way}, {rate:.1f} a second (give or take {error:.1f}), usual is under {usual:.1f}; "
            "a slipping hand may be meant",
            (track.name,), weight=amount,
        )  # fmt: skip
