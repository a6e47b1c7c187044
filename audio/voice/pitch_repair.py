"""One track out of two: the speaker's own range first, what lies outside it where it is sure.

The track in the speaker's range places voicing best and makes few octave errors; the wide track
(50-1000 Hz) alone hears a squeal above that range or creak below it. A steady stretch of the wide
track that lies elsewhere is taken over when it is periodic enough, and, where both tracks have a
pitch, when its period explains the sound at least as well: a true octave above repeats as exactly
at half the period, a false one does not; a true octave below repeats better at twice the period.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from audio.voice.pitch_track import STEP_S, Track

FloatArray = NDArray[np.float64]

JUMP_ST = 5.0  # a step this large in 5 ms is no voice's doing: the stretch ends here
SAME_ST = 2.0  # two tracks this near mean the same pitch
STEADY_S = 0.04  # a stretch shorter than this outside the range is chance
PERIODIC = 0.6  # median autocorrelation a stretch outside the range needs; fricatives stay below
PERIODIC_HIGH = 0.73  # ... and above the range, where a fricative's ringing can reach 0.66
EXACT = 0.05  # how much less exactly a higher pitch may repeat
SHORTEST_VOICED_S = 0.025  # shorter voiced runs are chance
SURE_S = 0.08  # a stretch this long ...
SURE = 0.74  # ... and this periodic is voice for certain
LEAP_ST = 9.5  # a short stretch this far from what is around it is a slip, not a leap
LEAP_LONGEST_S = 0.09
LEAP_REACH_S = 0.25  # what counts as around it
OCTAVE_ST = 12.0
OCTAVE_NEAR_ST = 2.0
SURE_REACH_S = 0.6  # what is voiced less surely must lie this near to one


def runs(mask: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """First and last index (half-open) of each stretch of True."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], mask, [False])).astype(np.int8)))
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def stretches(hz: FloatArray) -> list[tuple[int, int]]:
    """Voiced runs, cut where the pitch jumps. Half-open index pairs."""
    result: list[tuple[int, int]] = []
    for first, last in runs(np.isfinite(hz)):
        steps = np.abs(np.diff(np.log2(hz[first:last]))) * 12.0
        cuts = first + 1 + np.flatnonzero(steps > JUMP_ST)
        edges = [first, *(int(c) for c in cuts), last]
        result.extend((a, b) for a, b in pairwise(edges))
    return result


def steady(track: Track) -> NDArray[np.bool_]:
    """Where a track is long and periodic enough to say something about the speaker."""
    mask = np.zeros(len(track.hz), dtype=bool)
    for first, last in stretches(track.hz):
        long = (last - first) * STEP_S >= STEADY_S
        if long and np.median(track.strength[first:last]) > PERIODIC:
            mask[first:last] = True
    return mask


def fuse(own: Track, wide: Track, floor_hz: float, ceiling_hz: float) -> Track:
    """The track in the speaker's range, mended by the wide one. All shapes equal."""
    hz, strength = own.hz.copy(), own.strength.copy()
    for first, last in stretches(wide.hz):
        part = slice(first, last)
        take = _taken_over(own.hz[part], own.strength[part], wide.hz[part], wide.strength[part],
                           floor_hz, ceiling_hz)  # fmt: skip
        hz[part] = np.where(take, wide.hz[part], hz[part])
        strength[part] = np.where(take, wide.strength[part], strength[part])
    return Track(hz, strength)


def _taken_over(
    own: FloatArray, own_strength: FloatArray, wide: FloatArray, wide_strength: FloatArray,
    floor_hz: float, ceiling_hz: float,
) -> NDArray[np.bool_]:  # fmt: skip
    """Which values of one steady stretch of the wide track replace the other's."""
    nothing = np.zeros(len(wide), dtype=bool)
    least = PERIODIC_HIGH if float(np.median(wide)) > ceiling_hz else PERIODIC
    periodic = float(np.median(wide_strength)) >= least
    if len(wide) * STEP_S < STEADY_S or not periodic:
        return nothing
    both = np.isfinite(own)
    same = both & (np.abs(12.0 * np.log2(wide / np.where(both, own, wide))) < SAME_ST)
    outside = (wide < floor_hz) | (wide > ceiling_hz)
    if both.any() and same.sum() > 0.7 * both.sum() and outside.mean() < 0.5:
        return outside & ~same
    if both.mean() < 0.5:
        return ~same
    other = both & ~same
    if not other.any():
        return outside & ~both
    gain = float(np.median(wide_strength[other] - own_strength[other]))
    higher = float(np.median(wide[other])) > float(np.median(own[other]))
    wins = gain > -EXACT if higher else gain > EXACT
    return (other | ~both) if wins else nothing


def drop_chance(track: Track) -> FloatArray:
    """The pitch without what is periodic by chance: very short runs, and a whisper's.

    A whisper's formants ring, so its track is voiced here and there: short weak stretches with no
    sure one near them. Sure ones are long and nearly exact in their period.
    """
    hz = track.hz.copy()
    found = stretches(hz)
    strong = [float(np.median(track.strength[a:b])) for a, b in found]
    sure = np.array(
        [(a + b) / 2 for (a, b), s in zip(found, strong, strict=True)
         if (b - a) * STEP_S >= SURE_S and s >= SURE]
    )  # fmt: skip
    reach = round(SURE_REACH_S / STEP_S)
    for (first, last), strength in zip(found, strong, strict=True):
        length = last - first
        alone = not len(sure) or np.abs(sure - (first + last) / 2).min() > reach + length / 2
        if alone or (length * STEP_S < STEADY_S and strength < PERIODIC):
            hz[first:last] = np.nan
    for first, last in runs(np.isfinite(hz)):
        if (last - first) * STEP_S < SHORTEST_VOICED_S:
            hz[first:last] = np.nan
    return hz


def mend_leaps(hz: FloatArray) -> FloatArray:
    """The pitch with short stray stretches moved back by an octave, or dropped.

    A stretch under 90 ms that lies far from every stretch near it: by an octave, it is an octave
    slip; by anything else, it is a fricative or a click.
    """
    result = hz.copy()
    found = stretches(hz)
    middles = [float(np.median(12.0 * np.log2(hz[a:b]))) for a, b in found]
    reach = LEAP_REACH_S / STEP_S
    for n, (first, last) in enumerate(found):
        if (last - first) * STEP_S > LEAP_LONGEST_S:
            continue
        away = [
            middles[n] - middles[m]
            for m in (n - 1, n + 1)
            if 0 <= m < len(found)
            and (found[m][1] - found[m][0]) >= (last - first)
            and max(first - found[m][1], found[m][0] - last) <= reach
        ]
        if not away or min(abs(d) for d in away) < LEAP_ST:
            continue
        nearest = min(away, key=abs)
        octave = abs(abs(nearest) - OCTAVE_ST) < OCTAVE_NEAR_ST and last - first >= 8
        factor = 2.0 ** (-np.sign(nearest)) if octave else np.nan
        result[first:last] = hz[first:last] * factor
    return result
