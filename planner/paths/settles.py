"""Rushed settles: a move that arrives and is still at once.

Two measures. A move that overshoots comes to rest 6 to 14 frames (at 24) after its furthest point,
longer for heavy or tender (common practice). A move that does not overshoot needs a share of its
own length for its last tenth: 0.25 in a minimum-jerk ease, 0.2 in a sine, 0.1 at even speed
(calculus); under 0.15 it does not ease out at all.
"""

from __future__ import annotations

from collections.abc import Iterator

from planner.paths.arcs import SIZE_MIN, SIZE_NOISE, STRAIGHT_PARTS
from planner.paths.figure import Figure, Track
from planner.paths.findings import OPEN, Finding, frozen_map, on_frames

SETTLE_USUAL = 6.0  # frames at 24, common practice
LAST_TENTH_USUAL = 0.15  # of the move's length
FRAME_ERROR = 0.5  # frames: an end is found this well
OVERSHOOT_SEEN = 0.04  # of the move's size


def settle_findings(figure: Figure) -> Iterator[Finding]:
    """Moves of the figure that settle too fast."""
    for track in figure.tracks:
        if track.point.part in STRAIGHT_PARTS:
            continue
        floor = max(SIZE_MIN * figure.extent, SIZE_NOISE * track.signal.noise)
        for move in track.main_moves:
            if track.moves.size[move] < floor:
                continue
            if track.moves.overshoot[move] >= OVERSHOOT_SEEN:
                yield from _after_overshoot(figure, track, int(move))
            elif track.moves.overshoot[move] == 0.0:
                yield from _without_overshoot(figure, track, int(move))


def _after_overshoot(figure: Figure, track: Track, move: int) -> Iterator[Finding]:
    moves = track.moves
    settle, usual = float(moves.settle[move]), SETTLE_USUAL * figure.per_trade_frame
    if settle >= usual:
        return
    last = float(moves.end[move]) + settle
    frames = figure.frames(float(moves.first[move]), last)
    error = 2.0 * FRAME_ERROR
    yield Finding(
        "rushed-settle", figure.who, frames, (track.point.part,),
        frozen_map({"settle_frames": settle, "overshoot": float(moves.overshoot[move]),
                    "error": error}),
        frozen_map({"settle_frames": (usual, OPEN)}), settle + error < usual,
        f"{track.name} settles in a rush {on_frames(frames)}: it overshoots by "
        f"{moves.overshoot[move]:.0%} and is at rest {settle:.1f} frames after its furthest point "
        f"(usual: {usual:.0f} or more); a light or nervous stop may be meant",
        (track.name,), weight=float(moves.size[move]),
    )  # fmt: skip


def _without_overshoot(figure: Figure, track: Track, move: int) -> Iterator[Finding]:
    moves = track.moves
    length = max(float(moves.end[move] - moves.start[move]), 1.0)
    settle = float(moves.settle[move])
    share, error = settle / length, FRAME_ERROR / length
    goes_on = moves.start[move + 1] - moves.end[move] < 2.0 if move + 1 < len(moves) else False
    if share >= LAST_TENTH_USUAL or goes_on:
        return
    frames = figure.move_frames(track, move)
    yield Finding(
        "rushed-settle", figure.who, frames, (track.point.part,),
        frozen_map({"settle_frames": settle, "share": share, "error": error}),
        frozen_map({"share": (LAST_TENTH_USUAL, OPEN)}), share + error < LAST_TENTH_USUAL,
        f"{track.name} stops dead {on_frames(frames)}: the last tenth of the way takes "
        f"{settle:.1f} frames, {share:.0%} of the move (usual: {LAST_TENTH_USUAL:.0%} or more; an "
        "ordinary ease has 20-25%); a hit or a freeze may be meant",
        (track.name,), weight=float(moves.size[move]),
    )  # fmt: skip
