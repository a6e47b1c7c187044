"""Movements of the pitch that a listener can hear, syllable by syllable.

Method after Prosogram (Mertens 2004): the pitch of each syllable's voiced nucleus is stylised into
straight pieces; a piece is heard as a glide when its slope passes the glissando threshold G / T^2
(T its length in seconds): G = 0.16 for a single vowel or before a pause, 0.32 in running speech
('t Hart 1976; Mertens 2004). Neighbouring pieces that go on in one direction make one glide; a rise
and a fall that meet make a peak, a fall and a rise a dip.

Semitones are signed for rise and fall; for a peak or dip they are the larger of its two legs,
signed by the way it sets out. Times in seconds; `syllables` are indexes of those spanned.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from audio.loudness import smooth
from audio.pitch import semitones
from audio.reading import Glide, GlideShape, LoudnessTrack, Pause, PitchTrack, Syllable
from audio.sounding import pitch_on_grid

GLISSANDO_SINGLE = 0.16  # st/s * s^2: single vowel, or before a pause ('t Hart 1976)
GLISSANDO_RUNNING = 0.32  # same unit: running speech (Mertens 2004)
SHORTEST_PIECE_S = 0.035  # Prosogram's shortest tonal segment
TURN_ST = 1.0  # smaller turns are ripples
FADING_DB = 15.0  # 't Hart et al. 1990: pitch at a vowel's fading end goes unheard
BEFORE_PAUSE_S = 0.1

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class _Piece:
    """One straight movement inside a syllable."""

    start_s: float
    end_s: float
    from_st: float
    to_st: float
    syllables: tuple[int, ...]
    before_pause: bool

    @property
    def semitones(self) -> float:
        return self.to_st - self.from_st

    @property
    def audible(self) -> bool:
        factor = GLISSANDO_SINGLE if self.before_pause else GLISSANDO_RUNNING
        return is_audible(self.semitones, self.end_s - self.start_s, factor=factor)


def glissando_threshold(duration_s: float, *, factor: float = GLISSANDO_RUNNING) -> float:
    """Slope, in semitones a second, above which a movement of this length is heard as a glide.

    Raises ValueError if duration_s <= 0. Source: 't Hart 1976, Mertens 2004.
    """
    if not duration_s > 0:
        raise ValueError("duration_s must be above 0")
    return factor / duration_s**2


def is_audible(moved_st: float, duration_s: float, *, factor: float = GLISSANDO_RUNNING) -> bool:
    """Whether a movement of so many semitones in so many seconds is heard as one."""
    if duration_s < SHORTEST_PIECE_S:
        return False
    return abs(moved_st) / duration_s >= glissando_threshold(duration_s, factor=factor)


def find_glides(
    pitch: PitchTrack,
    loudness: LoudnessTrack,
    syllables: tuple[Syllable, ...],
    pauses: tuple[Pause, ...],
) -> tuple[Glide, ...]:
    """The movements of the pitch, in order; a syllable that holds its pitch gives a `level`."""
    hz = pitch_on_grid(pitch, loudness)
    if not np.isfinite(hz).any():
        return ()
    contour = semitones(hz, reference_hz=float(np.nanmedian(hz)))
    ends = [p.start_s for p in pauses] + [loudness.times_s()[-1] if len(hz) else 0.0]
    pieces: list[_Piece] = []
    for index, syllable in enumerate(syllables):
        last = index == len(syllables) - 1
        before = last or any(abs(syllable.end_s - e) < BEFORE_PAUSE_S for e in ends)
        pieces.extend(_pieces(contour, loudness, syllable, index, before))
    return tuple(_shapes(_join(pieces)))


def _pieces(
    contour: FloatArray, loudness: LoudnessTrack, syllable: Syllable, index: int, before: bool
) -> list[_Piece]:
    """The straight pieces of one syllable's pitch."""
    step_s = loudness.step_s
    first, last = round(syllable.start_s / step_s), round(syllable.end_s / step_s) + 1
    part = contour[first:last]
    level = np.asarray(loudness.sonorant_db)[first:last]
    if len(level) == 0:
        return []
    heard = np.flatnonzero(np.isfinite(part) & (level > level.max() - FADING_DB))
    if len(heard) * step_s < SHORTEST_PIECE_S:
        return []
    values = np.interp(np.arange(heard[0], heard[-1] + 1), heard, part[heard])
    values = smooth(values, 0.025)
    from audio.phrases import turning_points

    turns = turning_points(values, TURN_ST)
    return [
        _Piece(
            (first + heard[0] + a) * step_s, (first + heard[0] + b) * step_s,
            float(values[a]), float(values[b]), (index,), before and b == turns[-1],
        )
        for a, b in pairwise(turns) if b > a
    ]  # fmt: skip


def _join(pieces: list[_Piece]) -> list[_Piece]:
    """Pieces of neighbouring syllables that go on in one direction, made one."""
    result: list[_Piece] = []
    for new in pieces:
        piece = new
        if result and _goes_on(result[-1], piece):
            old = result.pop()
            piece = _Piece(
                old.start_s, piece.end_s, old.from_st, piece.to_st,
                tuple(sorted({*old.syllables, *piece.syllables})), piece.before_pause,
            )  # fmt: skip
        result.append(piece)
    return result


def _goes_on(old: _Piece, new: _Piece) -> bool:
    if not (old.audible and new.audible) or new.start_s - old.end_s > 0.12:
        return False
    between = new.from_st - old.to_st
    sign = np.sign(old.semitones)
    return bool(np.sign(new.semitones) == sign and between * sign > -TURN_ST)


def _shapes(pieces: list[_Piece]) -> list[Glide]:
    """Pieces as glides; two audible pieces that meet and turn become a peak or a dip."""
    result: list[Glide] = []
    n = 0
    while n < len(pieces):
        one = pieces[n]
        two = pieces[n + 1] if n + 1 < len(pieces) else None
        if two is not None and _meet(one, two):
            moved = one.semitones if abs(one.semitones) >= abs(two.semitones) else -two.semitones
            shape: GlideShape = "peak" if one.semitones > 0 else "dip"
            spanned = tuple(sorted({*one.syllables, *two.syllables}))
            result.append(Glide(one.start_s, two.end_s, moved, shape, True, spanned))
            n += 2
            continue
        shape = "level"
        if one.audible:
            shape = "rise" if one.semitones > 0 else "fall"
        result.append(
            Glide(one.start_s, one.end_s, one.semitones, shape, one.audible, one.syllables)
        )
        n += 1
    return result


def _meet(one: _Piece, two: _Piece) -> bool:
    return bool(
        one.audible
        and two.audible
        and np.sign(one.semitones) != np.sign(two.semitones)
        and two.start_s - one.end_s < 0.08
        and abs(two.from_st - one.to_st) < TURN_ST
    )
