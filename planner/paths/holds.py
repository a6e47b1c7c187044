"""Holds: drift, frozen, and planted parts that slide.

Everything is looked at in windows of a fixed time, so that nothing depends on the rate or on where
moves were cut. Drift: over a second or more a point slides along one line at one speed, which no
moving hold does (it eases on by a twentieth of the move and slows, common practice) and no person:
what people call standing still sways. Frozen: for most of a second a part does not leave its place
by more than noise would. A part that the scene calls planted must not slide at all. A hand or foot
that rests while its own arm or leg moves is in contact, and left alone.

Conventions: indexes count from 0 on the even time base, ranges inclusive; amounts in the file's
unit, rates a second.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from audio.reading import FloatArray
from planner.paths.figure import Figure, Track
from planner.paths.findings import OPEN, Finding, frozen_map, on_frames
from planner.paths.parts import CARRYING_PARTS
from planner.paths.ranges import runs
from planner.paths.signals import BoolArray, IntArray

ACTS = 0.015  # of the figure: a part that never leaves its place by more does not act
DRIFT_WINDOW_S = 1.1
DRIFT_OF_FIGURE = 0.012  # a window: less is not seen
DRIFT_FASTEST = 0.2  # of the figure a second: faster is a move
DRIFT_OFF_LINE = 0.045  # of the slide: how far places may lie off an even slide, root mean square
DRIFT_STEADY = 0.6  # last third's speed over the fastest third's: more does not slow
DRIFT_OF_MOVE = 0.04  # of the part's greatest move: about what a moving hold may ease on
DRIFT_SURE_OF_FIGURE = 0.018
FROZEN_WINDOW = 10.0  # frames at 24
FROZEN_LOOK = 20.0  # frames at 24; people rest for less without leaving their place
LIVES, LIVES_FRAMES = 0.24, 20  # slower than noise over so many: something small still moves
STILL_LOOK = 12.0  # frames at 24, where nothing at all changes
CARRIED_KINDS = ("arm", "fingers", "shoulders")  # go with others: only a dead still is told
FROZEN_OF_FIGURE = 0.0001
FROZEN_NOISE = 0.8  # times the noise; a mean of three frames has 0.58 of it
CONTACT = 0.01  # of the figure, by which the limb above moves while the end of it rests
CONTACT_OF = {"hand": "arm", "fingers": "hand", "foot": "leg"}
LEANS_WITH = {
    "head": ("chest", "shoulders"), "chest": ("head", "hips", "shoulders"),
    "shoulders": ("chest", "arm"), "arm": ("shoulders", "hand"), "hand": ("arm",),
    "fingers": ("hand",),
}  # fmt: skip
CARRIES = {"hand": "fingers"}
# log odds that a slide is a fault and no lean, by a logistic fit to the bench of natural motion:
# constant, off_line, crowd, company, evenness, seconds
DRIFT_WEIGHTS = np.array([1.0, -67.0, -4.9, -3.0, 3.0, 1.2])
DRIFT_SURE, DRIFT_LOOK = 0.8, -1.5
BLOCKS = 9
PLANTED_OF_FIGURE = 0.0025
_SIDES = (("left", "right"), ("up", "down"))


def hold_findings(figure: Figure) -> Iterator[Finding]:
    """All findings about what rests, or should."""
    for track in figure.tracks:
        if reach_of(track.signal.flow) >= ACTS * figure.extent:
            free = _free(track, figure)
            still = _still(figure, track, free)
            yield from _frozen_stretches(figure, track, still)
            yield from _drifts(figure, track, free)
        yield from _planted(figure, track)


def reach_of(points: FloatArray) -> float:
    """Twice the greatest distance from the middle: how far a point gets about."""
    return 2.0 * float(np.linalg.norm(points - points.mean(axis=0), axis=1).max())


def _free(track: Track, figure: Figure) -> BoolArray:
    """True where something is known and the part is not called planted."""
    free = track.signal.known & ~track.lost
    for part, from_frame, to_frame in figure.planted:
        if part == track.point.part:
            low = max(figure.index(from_frame), 0)
            free[low : max(figure.index(to_frame) + 1, 0)] = False
    return free


def block_means(points: FloatArray, first: IntArray, last: IntArray) -> FloatArray:
    """Means of nine even blocks of each range, shape (ranges, BLOCKS, dims)."""
    bounds = first[:, None] + ((last + 1 - first)[:, None] * np.arange(BLOCKS + 1)) // BLOCKS
    centre = points.mean(axis=0)
    sums = np.concatenate([np.zeros((1, points.shape[1])), np.cumsum(points - centre, axis=0)])
    width = np.maximum(np.diff(bounds, axis=1), 1)
    lower = np.minimum(bounds[:, :-1], len(points) - 1)
    found: FloatArray = (sums[lower + width] - sums[lower]) / width[:, :, None] + centre
    return found


def spread_around(points: FloatArray, width: int) -> FloatArray:
    """Root mean square distance from the mean in every window, shape (frames - width + 1,)."""
    centred = points - points.mean(axis=0)
    sums = np.concatenate([np.zeros((1, points.shape[1])), np.cumsum(centred, axis=0)])
    powers = np.concatenate([[0.0], np.cumsum(np.einsum("fd,fd->f", centred, centred))])
    mean = (sums[width:] - sums[:-width]) / width
    power = (powers[width:] - powers[:-width]) / width
    spread: FloatArray = np.sqrt(np.maximum(power - np.einsum("fd,fd->f", mean, mean), 0.0))
    return spread


def slides(points: FloatArray, width: int) -> tuple[FloatArray, FloatArray]:
    """The even slide that fits each window best: its way, and how far places lie off it.

    Returns shape (windows, dims), the way from end to end, and (windows,), root mean square.
    Source: least squares over time, by running sums.
    """
    centred = points - points.mean(axis=0)
    time = np.arange(len(points), dtype=np.float64)[:, None]
    sums = np.concatenate([np.zeros((1, points.shape[1])), np.cumsum(centred, axis=0)])
    timed = np.concatenate([np.zeros((1, points.shape[1])), np.cumsum(centred * time, axis=0)])
    total = sums[width:] - sums[:-width]
    middle = (np.arange(len(total)) + 0.5 * (width - 1))[:, None]
    moment = timed[width:] - timed[:-width] - middle * total
    slope = moment / (width * (width**2 - 1) / 12.0)
    explained = np.einsum("fd,fd->f", slope, slope) * (width**2 - 1) / 12.0
    spread = spread_around(points, width)
    off: FloatArray = np.sqrt(np.maximum(spread**2 - explained, 0.0))
    way: FloatArray = slope * (width - 1)
    return way, off


def _still(figure: Figure, track: Track, free: BoolArray) -> BoolArray:
    """Frames in a window that hardly leaves its mean."""
    signal = track.signal
    width = max(4, round(FROZEN_WINDOW * figure.per_trade_frame))
    still = np.zeros(len(signal.flow), dtype=bool)
    if len(still) <= width:
        return still
    dims = np.sqrt(float(signal.flow.shape[1]))
    floor = max(FROZEN_OF_FIGURE * figure.extent, FROZEN_NOISE * dims * signal.noise)
    calm = signal.flow.copy()
    calm[1:-1] = (signal.flow[:-2] + signal.flow[1:-1] + signal.flow[2:]) / 3.0
    for at in np.flatnonzero(spread_around(calm, width) <= floor):
        still[at : at + width] = True
    return still & free


def _frozen_stretches(figure: Figure, track: Track, still: BoolArray) -> Iterator[Finding]:
    """Stretches in which a part does not move at all."""
    if track.point.part in CARRYING_PARTS:
        return
    for first, last in zip(*runs(still), strict=True):
        stirs = track.signal.steps[first:last].max(initial=0.0) > 1e-9 * figure.extent
        shortest = FROZEN_LOOK if stirs else STILL_LOOK
        if last - first + 1 < shortest * figure.per_trade_frame:
            continue
        span = _at_rest(track, int(first), int(last), figure)
        length = span[1] - span[0] + 1
        moves = reach_of(track.signal.flow[span[0] : span[1] + 1]) > 1e-9 * figure.extent
        least = FROZEN_LOOK if moves else STILL_LOOK
        carried = moves and track.point.part.rpartition(" ")[2] in CARRIED_KINDS
        if length < least * figure.per_trade_frame or carried:
            continue
        contact = _in_contact(figure, track, *span)
        lives = moves and _lives(figure, track, span)
        sure = length >= FROZEN_LOOK * figure.per_trade_frame and not (contact or lives)
        yield _frozen(figure, track, span, sure, contact)


def _lives(figure: Figure, track: Track, span: tuple[int, int]) -> bool:
    """True if what is left in a still is slower than noise; read from the drawings themselves."""
    inside = (track.at >= figure.step * span[0]) & (track.at <= figure.step * span[1])
    points = track.drawn.flow[inside]
    return len(points) > 4 and slowness(points) > LIVES * np.sqrt(LIVES_FRAMES / len(points))


def slowness(points: FloatArray) -> float:
    """How far neighbouring places agree, -1 to 1: about 0 for noise, more for slow movement.

    points : shape (frames, dims). The mean of the correlations one and two frames apart.
    """
    away = points - points.mean(axis=0)
    power = max(float(np.einsum("fd,fd->", away, away)), 1e-300)
    one, two = (float(np.einsum("fd,fd->", away[k:], away[:-k])) for k in (1, 2))
    return 0.5 * (one + two) / power


def _at_rest(track: Track, first: int, last: int, figure: Figure) -> tuple[int, int]:
    """The stretch without the frames at its ends on which the part moves already."""
    points = track.signal.flow[first : last + 1]
    away = np.linalg.norm(points - points.mean(axis=0), axis=1)
    floor = max(2.0 * FROZEN_OF_FIGURE * figure.extent, 4.0 * track.signal.noise)
    rests = np.flatnonzero(away <= floor)
    return (first + int(rests[0]), first + int(rests[-1])) if len(rests) else (first, first)


def _in_contact(figure: Figure, track: Track, first: int, last: int) -> bool:
    """True if a hand or foot rests while the limb above it moves."""
    side, _, kind = track.point.part.rpartition(" ")
    above = f"{side} {CONTACT_OF[kind]}".strip() if kind in CONTACT_OF else ""
    return any(
        reach_of(limb.signal.flow[first : last + 1]) > CONTACT * figure.extent
        for limb in figure.with_part(above)
    )


def _frozen(
    figure: Figure, track: Track, span: tuple[int, int], sure: bool, contact: bool
) -> Finding:
    signal = track.signal
    frames = figure.frames(*span)
    points = signal.flow[span[0] : span[1] + 1]
    wander = float(np.linalg.norm(points - points.mean(axis=0), axis=1).max())
    wander = wander if wander > 1e-9 * figure.extent else 0.0
    usual = 2.0 * FROZEN_OF_FIGURE * figure.extent
    moved = "nothing at all changes" if wander == 0 else f"it stays within {wander:.2g}"
    moved += "" if wander == 0 else f" {figure.unit}, no more than noise"
    seconds = (span[1] - span[0] + 1) / figure.frames_per_s
    meant = "it may rest on something: the limb above moves" if contact else "a freeze may be meant"
    return Finding(
        "frozen", figure.who, frames, (track.point.part,),
        frozen_map({"wander": wander, "seconds": seconds, "error": signal.noise}),
        frozen_map({"wander": (usual, OPEN)}), sure,
        f"{track.name} is frozen {on_frames(frames)}: for {seconds:.1f} s {moved} (usual: a hold "
        f"keeps moving); {meant}",
        (track.name,), weight=seconds,
    )  # fmt: skip


def _drifts(figure: Figure, track: Track, free: BoolArray) -> Iterator[Finding]:
    """Stretches that slide evenly along a line."""
    signal = track.signal
    width = round(DRIFT_WINDOW_S * figure.frames_per_s)
    if len(signal.flow) <= width:
        return
    way, off = slides(signal.flow, width)
    amount = np.linalg.norm(way, axis=1)
    noise = signal.noise * np.sqrt(float(signal.flow.shape[1]))
    off = np.sqrt(np.maximum(off**2 - noise**2, 0.0))
    even = (amount > DRIFT_OF_FIGURE * figure.extent) & (off < DRIFT_OFF_LINE * amount)
    even &= amount < DRIFT_FASTEST * DRIFT_WINDOW_S * figure.extent
    taken = np.concatenate([[0], np.cumsum(~free)])
    even &= taken[width:] == taken[:-width]
    for first, last in zip(*runs(even), strict=True):
        best = int(first + np.argmin(off[first : last + 1] / amount[first : last + 1]))
        yield from _drift(figure, track, (int(first), int(last) + width - 1), way[best],
                          float(off[best] / amount[best]))  # fmt: skip


def _drift(
    figure: Figure, track: Track, span: tuple[int, int], way: FloatArray, off: float
) -> Iterator[Finding]:
    """A drift, if it does not slow."""
    along = _quiet_along(track, *span, way)
    begin, end = slide_range(along)
    first, last = span[0] + round(begin), span[0] + round(end)
    if last - first < BLOCKS:
        return
    means = block_means(track.signal.flow, np.array([first]), np.array([last]))[0]
    unit = way / max(float(np.linalg.norm(way)), 1e-300)
    thirds = [float((means[k + 2] - means[k]) @ unit) for k in (0, 3, 6)]
    fastest = max(thirds[0], thirds[1])
    if fastest <= 0 or thirds[2] < DRIFT_STEADY * fastest:
        return
    steady = min(thirds) / max(thirds)
    amount = float(np.linalg.norm(means[-1] - means[0])) * BLOCKS / (BLOCKS - 1)
    noise = track.signal.noise / np.sqrt(max((last - first + 1) / BLOCKS, 1.0)) / fastest
    ways = _company(figure, track, (first, last), unit)
    company, crowd = (length / max(amount, 1e-300) for length in ways)
    yield from _drift_finding(
        figure, track, (first, last), way, amount, thirds[2] / fastest, noise, off, steady,
        company, crowd,
    )  # fmt: skip


def _company(
    figure: Figure, track: Track, span: tuple[int, int], unit: FloatArray
) -> tuple[float, float]:
    """How far the parts beside it slide the same way meanwhile, and half of all other parts."""
    side, _, kind = track.point.part.rpartition(" ")
    beside = {f"{side} {other}".strip() for other in LEANS_WITH.get(kind, ())}
    beside |= set(LEANS_WITH.get(kind, ()))
    own = (track.point.part, f"{side} {CARRIES.get(kind, kind)}".strip())
    width = span[1] - span[0] + 1
    ways = {
        other.name: abs(float(slides(other.signal.flow[span[0] : span[1] + 1], width)[0][0] @ unit))
        for other in figure.tracks
        if other.point.part not in own
    }
    near = [ways[t.name] for t in figure.tracks if t.point.part in beside and t.name in ways]
    return max(near, default=0.0), float(np.median(list(ways.values()))) if ways else 0.0


def _drift_finding(
    figure: Figure, track: Track, span: tuple[int, int], way: FloatArray, amount: float,
    last_third: float, error: float, off: float, steady: float, company: float, crowd: float,
) -> Iterator[Finding]:  # fmt: skip
    frames = figure.frames(*span)
    rate = amount * figure.frames_per_s / max(span[1] - span[0], 1)
    words = side_words(way, flat=figure.flat)
    seconds = (span[1] - span[0] + 1) / figure.frames_per_s
    score = float(DRIFT_WEIGHTS @ (1.0, off, min(crowd, 1.0), min(company, 1.0), steady, seconds))
    greatest = float(track.moves.size.max()) if len(track.moves) else 0.0
    if score < DRIFT_LOOK or amount < DRIFT_OF_MOVE * greatest:
        return
    sure = (
        score > DRIFT_SURE and amount > DRIFT_SURE_OF_FIGURE * figure.extent
        and track.point.part not in CARRYING_PARTS
    )  # fmt: skip
    yield Finding(
        "drift", figure.who, frames, (track.point.part,),
        frozen_map({"amount": amount, "per_s": rate, "direction": words, "steady": last_third,
                    "off_line": off, "evenness": steady, "company": company, "crowd": crowd,
                    "error": error}),
        frozen_map({"steady": (0.0, DRIFT_STEADY)}), sure,
        f"{track.name} drifts {on_frames(frames)}: it slides {amount:.1f} {figure.unit} {words}, "
        f"{rate:.1f} a second, and its last third is {last_third:.0%} as fast as the rest (usual: "
        f"a moving hold slows to under {DRIFT_STEADY:.0%}); a slow lean may be meant",
        (track.name,), weight=amount,
    )  # fmt: skip


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


def _planted(figure: Figure, track: Track) -> Iterator[Finding]:
    """A planted part that slides."""
    signal = track.signal
    for part, from_frame, to_frame in figure.planted:
        first = max(figure.index(from_frame), 0)
        last = min(figure.index(to_frame), len(signal.flow) - 1)
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
