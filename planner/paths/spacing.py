"""Spacing of moves: even, floaty, without an ease in.

A move that people make speeds up and slows down: its greatest speed is 1.5 to 2.2 times its mean (a
sine ease 1.571, minimum jerk 1.875, Flash & Hogan 1985; quadratic 2). A key to a key without an
ease has 1; over a second or more it floats. An ease in that is missing shows as a first step as
large as any. A missing ease out is a stop (see `settles`).

Conventions: indexes on the even time base, frames told are the scene's; measures are ratios.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from planner.paths.arcs import STRAIGHT_PARTS, sure_of
from planner.paths.figure import Figure, Track
from planner.paths.findings import OPEN, Finding, frozen_map, on_frames

EVEN_LOOK = 1.16  # greatest over mean speed, of what does not creep (minimum jerk: 1.53)
EVEN_SURE = 1.09
EASED = 1.6  # greatest over mean speed of a whole move that needs no closer look
CREEPS = 0.2  # of the greatest step
SHARE = 0.8  # of the way, in the middle, that is judged
FLOATS_S = 1.0
STARTS = 0.8  # of the greatest step: a first step like that has no ease in
RESTED = 0.1  # of the greatest step, before a move that starts at once


def spacing_findings(figure: Figure) -> Iterator[Finding]:
    """Moves whose spacing is even, or that start at full speed."""
    for track in figure.tracks:
        if track.point.part in STRAIGHT_PARTS:
            continue
        for move in figure.large_moves(track):
            yield from _spacing(figure, track, int(move))


def _spacing(figure: Figure, track: Track, move: int) -> Iterator[Finding]:
    moves, steps = track.moves, track.signal.steps
    first, last = int(moves.first[move]), int(moves.last[move])
    inside = steps[first:last]
    if len(inside) < 5:
        return
    fast = float(inside.max())
    if moves.spacing[move] > EASED and not _starts_at_once(steps, first, fast):
        return
    way = np.cumsum(inside) / max(float(inside.sum()), 1e-300)
    edge = 0.5 * (1.0 - SHARE)
    middle = inside[(way > edge) & (way <= 1.0 - edge)]
    if len(middle) < 3:
        return
    greatest = float(np.sort(middle)[int(0.9 * (len(middle) - 1))])
    # an ease spends a fifth of its frames on a hundredth of its way; an even move has none of these
    going = inside[inside > CREEPS * greatest]
    ratio = greatest * len(going) / max(float(going.sum()), 1e-300)
    noise = 2.0 * track.signal.noise / max(greatest * np.sqrt(len(middle)), 1e-300)
    seconds = len(inside) / figure.frames_per_s
    name = ""
    if ratio < EVEN_LOOK:
        name = "floaty" if seconds >= FLOATS_S else "even"
    elif _starts_at_once(steps, first, greatest):
        name = "no ease in"
    if not name:
        return
    frames = figure.move_frames(track, move)
    large = sure_of(figure, track, float(moves.size[move]), float(last - first))
    told = {
        "even": "is spaced evenly", "floaty": "floats, spaced evenly",
        "no ease in": "starts at full speed",
    }[name]  # fmt: skip
    yield Finding(
        "even-spacing", figure.who, frames, (track.point.part,),
        frozen_map({"peak_over_mean": ratio, "spacing": name, "error": noise}),
        frozen_map({"peak_over_mean": (EVEN_LOOK, OPEN)}),
        large and name != "no ease in" and ratio + noise < EVEN_SURE,
        f"{track.name} {told} {on_frames(frames)}: its greatest speed is {ratio:.2f} times its "
        f"mean (give or take {noise:.2f}), usual is 1.3 or more; a mechanical move may be meant",
        (track.name,), weight=float(moves.size[move]),
    )  # fmt: skip


def _starts_at_once(steps: np.ndarray, first: int, greatest: float) -> bool:
    """True if it rests, and a step later is as fast as it ever gets."""
    around = steps[max(first - 3, 0) : first + 3]
    fast = np.flatnonzero(around >= STARTS * greatest)
    if len(around) < 6 or not len(fast) or fast[0] < 2:
        return False
    return bool(around[fast[0] - 2] <= RESTED * greatest and around[0] <= RESTED * greatest)
