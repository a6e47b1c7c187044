"""A track measured drawing by drawing and on an even time base; see `drawings` and `signals`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from audio.reading import FloatArray
from planner.paths.drawings import Drawings, even, find_exposures, positions
from planner.paths.signals import Signal, bridge_gaps, measure_signal

THINNED_NOISE = 0.612  # deviation of (1 2 1)/4 for unit noise: sqrt(6) / 4

OTHERS_NOISE = 2.0  # times what three of four tracks have at most
FEW = 4  # tracks: fewer do not tell what is usual


@dataclass(frozen=True, slots=True, eq=False)
class Measured:
    """One track: its drawings, the signal over drawings, the signal over even time."""

    exposed: Drawings
    drawn: Signal
    even: Signal


def measure_tracks(
    tracks: Sequence[FloatArray], *, step: int, grain: float
) -> list[Measured]:  # fmt: skip
    """All tracks of a figure.

    tracks : each shape (frames, dims), NaN in gaps; step : the even base looks at every step-th
    frame; grain : step in which positions were written.
    """
    whole = [bridge_gaps(points)[0] for points in tracks]
    exposed = find_exposures(whole)
    drawn = [
        _drawn(points, bridged, drawings, grain)
        for points, bridged, drawings in zip(tracks, whole, exposed, strict=True)
    ]
    # one tracker has one noise: a track that seems far noisier shakes for another reason
    noises = [signal.noise for signal in drawn]
    most = OTHERS_NOISE * float(np.quantile(noises, 0.75)) if len(noises) >= FEW else np.inf
    drawn = [s if s.noise <= most else replace(s, noise=most) for s in drawn]
    return [
        _measure(len(points), bridged, drawings, signal, step)
        for points, bridged, drawings, signal in zip(tracks, whole, exposed, drawn, strict=True)
    ]


def _drawn(points: FloatArray, bridged: FloatArray, drawings: Drawings, grain: float) -> Signal:
    if drawings.step == 1:
        return measure_signal(points, grain=grain)
    places = positions(bridged, drawings)
    gaps = np.asarray(~np.isfinite(points).all(axis=1))
    places[gaps[drawings.at]] = np.nan
    return measure_signal(places, grain=grain)


def _measure(
    count: int, bridged: FloatArray, drawings: Drawings, drawn: Signal, step: int
) -> Measured:
    if drawings.step == 1 and step == 1:
        return Measured(drawings, drawn, drawn)
    noise, known = drawn.noise, drawn.known
    if drawings.step == 1:
        noise = THINNED_NOISE * drawn.noise
    else:
        known = ~np.isin(np.arange(count), _beside(drawings, ~drawn.known))
    return Measured(drawings, drawn, measure_signal(
        even(_without_jumps(bridged, drawings, drawn), drawings, step),
        grain=drawn.grain, noise=noise, known=known[::step],
    ))  # fmt: skip


def _without_jumps(bridged: FloatArray, drawings: Drawings, drawn: Signal) -> FloatArray:
    """The frames again, from the drawings without their jumps."""
    if drawings.step == 1:
        return drawn.flow
    last = np.searchsorted(drawings.at, np.arange(len(bridged)), side="right") - 1
    return np.asarray(drawn.flow[np.maximum(last, 0)])


def _beside(drawings: Drawings, unknown: np.ndarray) -> np.ndarray:
    """Frames of the drawings of which nothing is known."""
    ends = np.append(drawings.at[1:], drawings.at[-1] + 1)
    pairs = zip(drawings.at[unknown], ends[unknown], strict=True)
    return np.concatenate([np.zeros(0, dtype=np.int64), *(np.arange(a, b) for a, b in pairs)])
