"""The settle of a move: how far it overshoots, and when it is at rest after its furthest point.

Along the direction in which the move arrives, the furthest point and the way back after it are
looked for, up to the next large move. The time of the way back is read between its tenth and its
nine tenths, which a minimum-jerk ease passes in 0.464 of its length (Flash & Hogan 1985): so the
slow ends, which noise hides, are not needed. Without a way back the settle is the time from nine
tenths of the way to rest.

Conventions: indexes count from 0 on the even time base.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from audio.reading import FloatArray
from planner.paths.move_table import MoveTable
from planner.paths.signals import Signal

TRADE_RATE = 24.0  # frames of the trade are counted at 24
SETTLE_SIZE = 0.35  # of the move before: a smaller one the other way is its settle
SETTLE_GAP = 3.0  # frames at 24 between a move and its settle
LOOKED_AFTER = 26.0  # frames at 24
BACK_SEEN = 0.045  # of the move: a smaller way back is breathing or a hold that eases
BACK_NOISE = 6.0  # times the noise
QUIET = 0.005  # of the move: more noise is smoothed, which widens a short way back
FIRST, LAST = 0.1, 0.9  # of the way back, read in time
BETWEEN = 0.464  # of a minimum-jerk ease: from a tenth to nine tenths


def with_settles(table: MoveTable, signal: Signal, frames_per_s: float) -> MoveTable:
    """The table with what is a settle marked, and overshoot and settle of every other move."""
    scale = frames_per_s / TRADE_RATE
    settles = _marked(table, SETTLE_GAP * scale)
    settle, overshoot = table.settle.copy(), table.overshoot.copy()
    main = np.flatnonzero(settles < 0)
    for place, move in enumerate(main):
        after = main[place + 1] if place + 1 < len(main) else None
        stop = int(table.last[move] + LOOKED_AFTER * scale)
        if after is not None:
            stop = min(stop, int(table.first[after]))
        stop = min(stop, len(signal.flow) - 1)
        found = way_back(_along(table, signal, int(move), stop), float(table.size[move]),
                         signal.noise)  # fmt: skip
        if found is not None:
            overshoot[move], settle[move] = found
    return replace(table, settles=settles, settle=settle, overshoot=overshoot)


def _marked(table: MoveTable, gap_max: float) -> np.ndarray:
    """For each move, the index of the one whose settle it is, or -1."""
    settles = table.settles.copy()
    if len(table) < 2:
        return settles
    opposed = np.einsum("md,md->m", table.leaves[:-1], table.direction[1:]) < -0.3
    close = table.start[1:] - table.end[:-1] <= gap_max
    for j in np.flatnonzero(close & opposed) + 1:
        root = settles[j - 1] if settles[j - 1] >= 0 else j - 1
        if table.size[j] <= SETTLE_SIZE * table.size[root]:
            settles[j] = root
    return settles


def _along(table: MoveTable, signal: Signal, move: int, stop: int) -> FloatArray:
    """Distance along the direction of arrival, from the fastest moment on."""
    peak = int(table.peak[move])
    quiet = signal.noise < QUIET * float(table.size[move])
    points = (signal.flow if quiet else signal.smooth)[peak : max(stop, peak + 2) + 1]
    along: FloatArray = (points - points[0]) @ table.leaves[move]
    return along


def way_back(along: FloatArray, size: float, noise: float) -> tuple[float, float] | None:
    """Overshoot (share of the move) and frames from the furthest point to rest, or None.

    along : shape (frames,), distances in the direction of arrival.
    """
    top = int(np.argmax(along))
    back = along[top] - along[top:]
    low = int(np.argmax(back))
    amount = float(back[low])
    if low < 1 or amount < max(BACK_SEEN * size, BACK_NOISE * noise) or amount > SETTLE_SIZE * size:
        return None
    share = back[: low + 1] / amount
    early, late = (_reached(share, level) for level in (FIRST, LAST))
    return amount / size, (late - early) / BETWEEN


def _reached(share: FloatArray, level: float) -> float:
    """The frame, as a fraction, on which a share is reached."""
    at = max(int(np.argmax(share >= level)), 1)
    before, here = float(share[at - 1]), float(share[at])
    return at - 1 + min(max((level - before) / max(here - before, 1e-300), 0.0), 1.0)
