"""Lags between parts: who leads, by how many frames, and whether two parts move as one block.

Method: for each move of one part, its speed is correlated with the other part's at shifts of up to
333 ms either way (normalised, means taken off); the best shift, refined by a parabola through its
neighbours, is the lag, the correlation there the likeness. Sign as in scipy.signal.correlation_lags
after swapping: the lag is positive where the follower is later.

Measured between parts that are joined or work together, never within one rigid part (nose, chin and
head). A part with a name of its own is measured against the figure's chest, else its head, else its
first track, and gives lags but no findings.

Usual: chest after head by 3-4 frames at 24, or the reverse by choice (common practice); under one
frame with the same shape reads as a block.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from audio.reading import FloatArray
from planner.paths.blocks import block_findings
from planner.paths.figure import SIZE_MIN, SIZE_NOISE, Figure, Track
from planner.paths.findings import OPEN, Finding, frozen_map, on_frames, tidy
from planner.paths.ranges import range_indexes
from planner.paths.signals import SPEED_NOISE, IntArray

LAG_MAX_FRAMES = 8.0  # at 24; a part that starts later than that moves on its own
AROUND_FRAMES = 3.0  # at 24, looked at before and after a move
LIKENESS_MIN = 0.6  # under it two parts do not do the same
BLOCK_FRAMES = 1.0  # at 24
TURN_GAP = 3.0  # frames at 24 between two moves that make a turn
TURN_COSINE = -0.2  # a turn by 100 degrees or more
OPPOSED_COSINE = -0.5
OPPOSED_SURE = -0.7
OPPOSED_SIZE = 0.04  # of the figure
OPPOSED_APART = 0.4  # of BLOCK_FRAMES
SAME_LAG = 0.05  # frames; under it nobody leads and the habit decides
LAG_ERROR = 0.1  # frames, beside what noise adds
# leader by habit first; these parts can move as a block, so they give findings
JOINED = (("head", "chest"), ("chest", "hips"))
# these give lags only: one carries the other
CARRIED = (
    ("left hand", "right hand"), ("chest", "shoulders"), ("left arm", "left hand"),
    ("right arm", "right hand"),
    ("left hand", "left fingers"), ("right hand", "right fingers"), ("head", "left hand"),
    ("head", "right hand"), ("hand", "fingers"), ("arm", "hand"), ("head", "hips"),
    ("eyes", "head"), ("head", "jaw"),
)  # fmt: skip
TURNING = (*JOINED, ("left arm", "left hand"), ("right arm", "right hand"), ("arm", "hand"))


@dataclass(frozen=True, slots=True)
class Lag:
    """One move in two parts. `frames` are the leader's, `lag_frames` how late the other is."""

    leader: str
    follower: str
    parts: tuple[str, str]
    who: str
    frames: tuple[int, int]
    lag_frames: float
    likeness: float
    error: float

    def to_json(self) -> dict[str, Any]:
        """The contract's JSON of a lag."""
        return {
            "leader": self.leader, "follower": self.follower, "frames": list(self.frames),
            "lag_frames": round(self.lag_frames, 2), "likeness": round(self.likeness, 3),
            "parts": list(self.parts), "who": self.who or None, "error": tidy(self.error),
        }  # fmt: skip


def find_lags(figure: Figure) -> tuple[list[Lag], list[Finding]]:
    """Lags of a figure's parts, and the blocks among them."""
    lags: list[Lag] = []
    findings: list[Finding] = []
    for first, second, joined in part_pairs(figure):
        lags.extend(_pair_lags(figure, first, second))
        if joined:
            findings.extend(block_findings(figure, first, second))
    findings.extend(_opposed(figure))
    return sorted(lags, key=lambda lag: (lag.frames, lag.leader, lag.follower)), findings


def speaker_of_part(figure: Figure, part: str) -> Track | None:
    """The track that speaks for a part: of a head the nose, else the one that moves most."""
    tracks = list(figure.with_part(part))
    if not tracks:
        return None
    named = [track for track in tracks if "nose" in track.name.lower()]
    return named[0] if named else max(tracks, key=lambda t: float(t.signal.steps.sum()))


def part_pairs(figure: Figure) -> Iterator[tuple[Track, Track, bool]]:
    """Pairs of tracks to compare, and whether they may be blocks; a few for each part."""
    for pairs, joined in ((JOINED, True), (CARRIED, False)):
        for one, other in pairs:
            first, second = speaker_of_part(figure, one), speaker_of_part(figure, other)
            if first is not None and second is not None:
                yield first, second, joined
    anchor = speaker_of_part(figure, "chest") or speaker_of_part(figure, "head")
    anchor = anchor or (figure.tracks[0] if figure.tracks else None)
    for track in figure.tracks:
        if not track.point.known and anchor is not None and track is not anchor:
            yield anchor, track, False


def correlate_speeds(
    a: FloatArray, b: FloatArray, first: IntArray, last: IntArray, *, reach: int
) -> FloatArray:
    """Correlation of each range of `a` with `b` shifted by -reach..reach, shape (ranges, shifts).

    a, b : shape (frames,); ranges inclusive. Column k compares a[i] with b[i + k - reach]; a value
    beyond the ends counts as 0.
    """
    index, offsets = range_indexes(first, last)
    lengths = (last - first + 1).astype(np.float64)
    padded_a = np.pad(a, reach + 1)
    padded_b = np.pad(b, 2 * reach + 1)
    va = padded_a[np.clip(index + reach + 1, 0, len(padded_a) - 1)]
    mean_a = np.add.reduceat(va, offsets) / lengths
    power_a = np.maximum(np.add.reduceat(va * va, offsets) - lengths * mean_a**2, 0.0)
    result = np.zeros((len(first), 2 * reach + 1))
    for k in range(2 * reach + 1):
        vb = padded_b[np.clip(index + k + reach + 1, 0, len(padded_b) - 1)]
        mean_b = np.add.reduceat(vb, offsets) / lengths
        power_b = np.maximum(np.add.reduceat(vb * vb, offsets) - lengths * mean_b**2, 0.0)
        cross = np.add.reduceat(va * vb, offsets) - lengths * mean_a * mean_b
        result[:, k] = cross / np.sqrt(np.maximum(power_a * power_b, 1e-300))
    return np.clip(result, -1.0, 1.0)


def best_shift(correlation: FloatArray) -> tuple[FloatArray, FloatArray]:
    """The shift of the highest correlation, refined by a parabola, and the correlation there."""
    reach = correlation.shape[1] // 2
    at = np.argmax(correlation, axis=1)
    rows = np.arange(len(at))
    inner = np.clip(at, 1, correlation.shape[1] - 2)
    left, top, right = (correlation[rows, inner + k] for k in (-1, 0, 1))
    bend = left - 2.0 * top + right
    shift = np.where(bend < 0, 0.5 * (left - right) / np.where(bend < 0, bend, 1.0), 0.0)
    shift = np.where(inner == at, np.clip(shift, -0.5, 0.5), 0.0)
    peak = correlation[rows, at] - np.where(inner == at, 0.25 * (left - right) * shift, 0.0)
    return at - reach + shift, np.minimum(peak, 1.0)


def _pair_lags(figure: Figure, first: Track, second: Track) -> Iterator[Lag]:
    """Lags of the moves that two tracks share."""
    scale = figure.per_trade_frame
    reach = max(1, round(LAG_MAX_FRAMES * scale))
    shared = _shared_moves(figure, first, second, reach)
    if not len(shared):
        return
    mine, yours = shared[:, 0], shared[:, 1]
    around = max(1, round(AROUND_FRAMES * scale))
    start = np.minimum(first.moves.first[mine], second.moves.first[yours]) - around
    stop = np.maximum(first.moves.last[mine], second.moves.last[yours]) + around
    correlation = correlate_speeds(
        first.signal.speed, second.signal.speed, start, stop, reach=reach
    )
    shift, likeness = best_shift(correlation)
    for k in np.flatnonzero(likeness >= LIKENESS_MIN):
        error = LAG_ERROR + _noise_error(first, int(mine[k])) + _noise_error(second, int(yours[k]))
        yield _lag(figure, (first, int(mine[k])), (second, int(yours[k])), float(shift[k]),
                   float(likeness[k]), error)  # fmt: skip


def _shared_moves(figure: Figure, first: Track, second: Track, reach: int) -> IntArray:
    """Index pairs of moves that overlap when shifted by at most `reach`; each used once."""
    a, b = first.main_moves, second.main_moves
    pairs: list[tuple[int, int]] = []
    if not len(a) or not len(b):
        return np.zeros((0, 2), dtype=np.int64)
    middle_b = 0.5 * (second.moves.start[b] + second.moves.end[b])
    middle_a = 0.5 * (first.moves.start[a] + first.moves.end[a])
    floor_a = max(0.5 * SIZE_MIN * figure.extent, SIZE_NOISE * first.signal.noise)
    floor_b = max(0.5 * SIZE_MIN * figure.extent, SIZE_NOISE * second.signal.noise)
    at = np.searchsorted(middle_b, middle_a)
    for k, move in enumerate(a):
        near = [j for j in (at[k] - 1, at[k]) if 0 <= j < len(b)]
        best = min(near, key=lambda j: abs(middle_b[j] - middle_a[k]))
        other = int(b[best])
        if abs(middle_b[best] - middle_a[k]) > reach + 0.5 * reach:
            continue
        if first.moves.size[move] >= floor_a and second.moves.size[other] >= floor_b:
            pairs.append((int(move), other))
    return np.array(pairs, dtype=np.int64).reshape(-1, 2)


def _noise_error(track: Track, move: int) -> float:
    """Frames by which noise can shift the best fit: noise over the rise of the speed."""
    moves = track.moves
    length = max(float(moves.end[move] - moves.start[move]), 1.0)
    rise = 2.0 * float(moves.peak_speed[move]) / length
    return float(2.0 * SPEED_NOISE * track.signal.noise / max(rise * np.sqrt(length), 1e-300))


def _lag(
    figure: Figure, one: tuple[Track, int], other: tuple[Track, int], shift: float,
    likeness: float, error: float,
) -> Lag:  # fmt: skip
    """The lag as data."""
    leads, follows = (one, other) if shift >= -SAME_LAG else (other, one)
    frames = figure.move_frames(*leads)
    parts = (leads[0].point.part, follows[0].point.part)
    step = figure.step
    return Lag(
        leads[0].name, follows[0].name, parts, figure.who, frames, step * abs(shift), likeness,
        step * error,
    )  # fmt: skip


def turns(track: Track, figure: Figure) -> list[tuple[float, FloatArray, FloatArray, float]]:
    """Where a track turns back without a hold: (index, heading before, heading after, size)."""
    moves = track.moves
    if len(moves) < 2:
        return []
    floor = max(0.5 * SIZE_MIN * figure.extent, SIZE_NOISE * track.signal.noise)
    gap = moves.start[1:] - moves.end[:-1]
    cosine = np.einsum("md,md->m", moves.leaves[:-1], moves.enters[1:])
    large = np.minimum(moves.size[1:], moves.size[:-1]) >= floor
    found = np.flatnonzero(
        (gap <= TURN_GAP * figure.per_trade_frame) & (cosine < TURN_COSINE) & large
    )
    return [
        (
            0.5 * float(moves.end[k] + moves.start[k + 1]),
            moves.leaves[k],
            moves.enters[k + 1],
            float(min(moves.size[k], moves.size[k + 1])),
        )
        for k in found
    ]


def _opposed(figure: Figure) -> Iterator[Finding]:
    """Two joined parts that turn on one frame, each the other way."""
    for one, other in TURNING:
        first, second = speaker_of_part(figure, one), speaker_of_part(figure, other)
        if first is None or second is None:
            continue
        theirs = turns(second, figure)
        times = np.array([turn[0] for turn in theirs])
        for at, before, after, size in turns(first, figure):
            if not len(times):
                break
            k = int(np.argmin(np.abs(times - at)))
            apart = abs(float(times[k]) - at)
            opposed = float(after @ theirs[k][2]) < OPPOSED_COSINE
            opposed = opposed and float(before @ theirs[k][1]) < OPPOSED_COSINE
            if apart < BLOCK_FRAMES * figure.per_trade_frame and opposed:
                sure = min(size, theirs[k][3]) >= OPPOSED_SIZE * figure.extent
                sure = sure and apart < OPPOSED_APART * BLOCK_FRAMES * figure.per_trade_frame
                sure = sure and max(float(after @ theirs[k][2]),
                                    float(before @ theirs[k][1])) < OPPOSED_SURE  # fmt: skip
                yield _opposed_finding(figure, first, second, 0.5 * (at + times[k]), apart, sure)


def _opposed_finding(
    figure: Figure, first: Track, second: Track, at: float, apart: float, sure: bool
) -> Finding:
    frames = figure.frames(at, at)
    usual = BLOCK_FRAMES * figure.per_trade_frame
    error = 0.4
    apart, usual, error = figure.step * apart, figure.step * usual, figure.step * error
    return Finding(
        "opposed-on-one-frame", figure.who, frames, (first.point.part, second.point.part),
        frozen_map({"apart_frames": apart, "error": error}),
        frozen_map({"apart_frames": (usual, OPEN)}), sure and apart + error < usual,
        f"{first.name} and {second.name} turn against each other {on_frames(frames)}: their turns "
        f"lie {apart:.1f} frames apart (give or take {error:.1f}), usual is {usual:.0f} or more; "
        "a mechanical or comic move may be meant",
        (first.name, second.name),
    )  # fmt: skip
