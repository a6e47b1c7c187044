"""Rushed settles: a move that arrives and is still at once.

Two measures. A move that overshoots comes to rest 6 to 14 frames (at 24) after its furthest point,
longer for heavy or tender (common practice). A move that does not overshoot brakes: from four
fifths of its greatest speed to an eighth takes 0.24 of a minimum-jerk ease (Flash & Hogan 1985) and
0.3 of a sine; a move that stops dead takes a frame or so, however long it was.

Conventions: indexes on the even time base; frames told are the scene's.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from planner.paths.arcs import STRAIGHT_PARTS, sure_of
from planner.paths.figure import Figure, Track
from planner.paths.findings import OPEN, Finding, frozen_map, on_frames

# An elbow is where shoulder and hand put it: it has no settle of its own to be certain of.
BETWEEN = "elbow"
SETTLE_USUAL = 6.0  # frames at 24, common practice
SETTLE_SURE = 5.4  # frames at 24
BRAKE_USUAL = 0.24  # of the move's length: minimum jerk
BRAKE_LOOK = 0.2
# shares of the move and frames at 24, either pair; a step is cut at any place of it
BRAKE_SURE = ((0.13, 1.45), (0.19, 1.2))
FAST, SLOW = 0.8, 0.125  # of the greatest step
STANDS_FRAMES = 2.5  # at 24, that it must be slow after the stop
FRAME_ERROR = 0.5  # frames: an end is found this well
OVERSHOOT_SEEN = 0.05  # of the move's size
OVERSHOOT_SURE = (0.075, 0.18)  # less may be breath, more is an accent that goes back
OVERSHOOT_OF_FIGURE = 0.006


def settle_findings(figure: Figure) -> Iterator[Finding]:
    """Moves of the figure that settle too fast."""
    for track in figure.tracks:
        if track.point.part in STRAIGHT_PARTS:
            continue
        for move in figure.large_moves(track):
            over = float(track.moves.overshoot[move])
            seen = over * float(track.moves.size[move]) > OVERSHOOT_OF_FIGURE * figure.extent
            if over >= OVERSHOOT_SEEN and seen:
                yield from _after_overshoot(figure, track, int(move))
            else:
                yield from _without_overshoot(figure, track, int(move))


def braking_frames(steps: np.ndarray, peak: int, stands: int) -> float:
    """Frames from FAST to SLOW of the greatest step, or inf if it does not come to stand.

    steps : from a move's start to a while after its end; peak : index of the greatest; stands : for
    how many frames it must stay slow.
    """
    top = float(steps[peak])
    slow = np.flatnonzero(steps[peak:] <= SLOW * top) + peak
    if not len(slow):
        return float("inf")
    last = int(slow[0])
    after = steps[last : last + stands]
    if len(after) < stands or after.max() > 2.0 * SLOW * top:
        return float("inf")
    fast = int(np.flatnonzero(steps[:last] >= FAST * top)[-1])
    return _crossing(steps, last, SLOW * top) - _crossing(steps, fast + 1, FAST * top)


def _drawn_steps(figure: Figure, track: Track, move: int) -> tuple[np.ndarray, int, int, float]:
    """Steps to read a stop from, the move's first and last of them, and even frames a step.

    On held drawings the drawings themselves are read: what joins them is no one's spacing.
    """
    first, last = int(track.moves.first[move]), int(track.moves.last[move])
    if len(track.at) >= len(track.signal.steps):
        return track.signal.steps, first, last, 1.0
    at = track.at / figure.step
    begin, end = (int(np.argmin(np.abs(at - k))) for k in (first, last))
    return track.drawn.steps, begin, end, len(track.signal.steps) / len(track.at)


def _crossing(steps: np.ndarray, at: int, level: float) -> float:
    """Where the steps fall under a level between at - 1 and at."""
    before, here = float(steps[at - 1]), float(steps[at])
    return at - 1 + min(max((before - level) / max(before - here, 1e-300), 0.0), 1.0)


def _after_overshoot(figure: Figure, track: Track, move: int) -> Iterator[Finding]:
    moves = track.moves
    settle, usual = float(moves.settle[move]), SETTLE_USUAL * figure.per_trade_frame
    if settle >= usual:
        return
    last = float(moves.end[move]) + settle
    frames = figure.frames(float(moves.first[move]), last)
    error = 2.0 * FRAME_ERROR
    held = len(track.signal.steps) / max(len(track.at), 1)
    coarse = FRAME_ERROR + 2.0 * max(held - 1.0, 0.0)  # a drawing on either end
    over = float(moves.overshoot[move])
    sure = (
        track.point.role != BETWEEN
        and OVERSHOOT_SURE[0] <= over <= OVERSHOOT_SURE[1]
        and settle + coarse < SETTLE_SURE * figure.per_trade_frame
        and sure_of(
            figure, track, float(moves.size[move]), float(moves.last[move] - moves.first[move])
        )
    )
    yield Finding(
        "rushed-settle", figure.who, frames, (track.point.part,),
        frozen_map({"settle_frames": figure.step * settle,
                    "overshoot": float(moves.overshoot[move]), "error": figure.step * error}),
        frozen_map({"settle_frames": (figure.step * usual, OPEN)}), sure,
        f"{track.name} settles in a rush {on_frames(frames)}: it overshoots by "
        f"{moves.overshoot[move]:.0%} and is at rest {figure.step * settle:.1f} frames after its "
        f"furthest point (usual: {figure.step * usual:.0f} or more); a light stop may be "
        "meant",
        (track.name,), weight=float(moves.size[move]),
    )  # fmt: skip


def _without_overshoot(figure: Figure, track: Track, move: int) -> Iterator[Finding]:
    moves = track.moves
    steps, first, last, per_drawing = _drawn_steps(figure, track, move)
    stands = max(2, round(STANDS_FRAMES * figure.per_trade_frame / per_drawing))
    cut = steps[first : last + stands + 3]
    if len(cut) < 4 or last <= first:
        return
    peak = int(np.argmax(cut[: last - first + 1]))
    brakes = braking_frames(cut, peak, stands)
    length = max(float(moves.end[move] - moves.start[move]) / per_drawing, 1.0)
    share = brakes / length
    if share >= BRAKE_LOOK:
        return
    error = 2.0 * track.signal.noise / max(float(cut[peak]), 1e-300)
    scale = max(figure.per_trade_frame / per_drawing, 1.0)
    large = sure_of(figure, track, float(moves.size[move]), length * per_drawing)
    sure = large and any(
        share + error / length < most and brakes + error < frames * scale
        for most, frames in BRAKE_SURE
    )
    brakes = brakes * per_drawing
    frames = figure.move_frames(track, move)
    told = figure.step * brakes
    yield Finding(
        "rushed-settle", figure.who, frames, (track.point.part,),
        frozen_map({"brakes_frames": told, "brakes": share, "error": error / length,
                    "settle_frames": figure.step * float(moves.settle[move])}),
        frozen_map({"brakes": (BRAKE_USUAL, OPEN)}), sure,
        f"{track.name} stops dead {on_frames(frames)}: from full speed to standing takes "
        f"{told:.1f} frames, {share:.0%} of the move (usual: {BRAKE_USUAL:.0%}, as an ordinary "
        "ease has); a hit or a freeze may be meant",
        (track.name,), weight=float(moves.size[move]),
    )  # fmt: skip
