"""Movements of the pitch that a listener can hear, syllable by syllable.

Method after Prosogram (Mertens 2004): the pitch of each syllable's voiced nucleus is stylised into
straight pieces; a piece is heard as a glide when its slope passes the glissando threshold G / T^2
(T its length in seconds): G = 0.16 for a single vowel or before a pause, 0.32 in running speech
('t Hart 1976; Mertens 2004). Pieces of neighbouring syllables that go on in one direction make one
glide; a rise and a fall that meet make a peak, a fall and a rise a dip. A syllable that only holds
its pitch gives a `level`, which is not audible as a movement.

Semitones are signed for rise and fall; for a peak or dip they are the larger of its two legs,
signed by the way it sets out. Times in seconds; `syllables` are indexes of those spanned.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from audio.reading import Glide, GlideShape, LoudnessTrack, Pause, PitchTrack, Syllable
from audio.sound.sounding import pitch_on_grid
from audio.voice.contour import clean_contour, moving_part, turning_points

GLISSANDO_SINGLE = 0.16  # st/s * s^2: single vowel, or before a pause ('t Hart 1976)
GLISSANDO_RUNNING = 0.32  # same unit: running speech (Mertens 2004)
SHORTEST_PIECE_S = 0.035  # Prosogram's shortest tonal segment
FADING_DB = 15.0  # 't Hart et al. 1990: pitch at a vowel's fading end goes unheard
BEFORE_PAUSE_S = 0.15  # a syllable that ends this near to a pause stands before it
BRIDGE_S = 0.12  # a consonant between two syllables interrupts a glide no longer than this
MEET_S = 0.08
JOIN_ST = 1.0  # a step back between two pieces larger than this parts them
HEARD_STEP_ST = 3.0  # 't Hart 1981: over several syllables, differences listeners use
HEARD_STEP_S = 0.7

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class _Piece:
    """One movement in one direction."""

    start_s: float
    end_s: float
    from_st: float
    to_st: float
    syllables: tuple[int, ...]
    before_pause: bool
    audible_part: bool = False  # one of the pieces it was joined from is audible by itself

    @property
    def semitones(self) -> float:
        return self.to_st - self.from_st

    @property
    def audible(self) -> bool:
        length_s = self.end_s - self.start_s
        if len(self.syllables) > 1:
            step = abs(self.semitones) >= HEARD_STEP_ST and length_s <= HEARD_STEP_S
            return self.audible_part or step
        factor = GLISSANDO_SINGLE if self.before_pause else GLISSANDO_RUNNING
        return is_audible(self.semitones, length_s, factor=factor)


def glissando_threshold(duration_s: float, *, factor: float = GLISSANDO_RUNNING) -> float:
    """Slope, in semitones a second, above which a movement of this length is heard as a glide.

    Raises ValueError if duration_s <= 0. Source: 't Hart 1976, Mertens 2004.
    >>> round(glissando_threshold(0.1, factor=0.16), 6)
    16.0
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
    contour = clean_contour(hz, reference_hz=float(np.nanmedian(hz)))
    level = np.asarray(loudness.sonorant_db)
    ends = [p.start_s for p in pauses]
    pieces: list[_Piece] = []
    for index, syllable in enumerate(syllables):
        last = index == len(syllables) - 1
        before = last or any(abs(syllable.end_s - end_s) < BEFORE_PAUSE_S for end_s in ends)
        pieces.extend(_pieces(contour, level, loudness.step_s, syllable, index, before))
    return tuple(_shapes(_join(pieces)))


def _pieces(
    contour: FloatArray, level: FloatArray, step_s: float, syllable: Syllable, index: int,
    before: bool,
) -> list[_Piece]:  # fmt: skip
    """The pieces of one syllable's pitch; one piece where none of them is audible."""
    first, last = round(syllable.start_s / step_s), round(syllable.end_s / step_s) + 1
    part, loud = contour[first:last], level[first:last]
    if len(loud) == 0:
        return []
    heard = np.flatnonzero(np.isfinite(part) & (loud > loud.max() - FADING_DB))
    if len(heard) * step_s < SHORTEST_PIECE_S:
        return []
    at = first + int(heard[0])
    values = np.interp(np.arange(heard[0], heard[-1] + 1), heard, part[heard])
    turns = turning_points(values)
    found = []
    for one, two in pairwise(turns):
        low, high = moving_part(values, one, two)
        found.append(
            _Piece((at + low) * step_s, (at + high) * step_s, float(values[one]),
                   float(values[two]), (index,), before and two == turns[-1])
        )  # fmt: skip
    if any(p.audible for p in found):
        return found
    whole = _Piece(
        at * step_s, (at + len(values) - 1) * step_s, float(values[0]), float(values[-1]),
        (index,), before,
    )  # fmt: skip
    return [whole]


def _join(pieces: list[_Piece]) -> list[_Piece]:
    """Pieces of neighbouring syllables that go on one way, made one where that is heard."""
    result: list[_Piece] = []
    n = 0
    while n < len(pieces):
        end = n + 1
        while end < len(pieces) and _goes_on(pieces[end - 1], pieces[end]):
            end += 1
        joined = _joined(pieces[n:end])
        result.extend([joined] if joined.audible else pieces[n:end])
        n = end
    return result


def _joined(pieces: list[_Piece]) -> _Piece:
    if len(pieces) == 1:
        return pieces[0]
    return _Piece(
        pieces[0].start_s, pieces[-1].end_s, pieces[0].from_st, pieces[-1].to_st,
        tuple(sorted({s for p in pieces for s in p.syllables})), pieces[-1].before_pause,
        any(p.audible for p in pieces),
    )  # fmt: skip


def _goes_on(old: _Piece, new: _Piece) -> bool:
    if old.syllables == new.syllables or new.start_s - old.end_s > BRIDGE_S:
        return False
    sign = np.sign(old.semitones)
    between = (new.from_st - old.to_st) * sign
    return bool(np.sign(new.semitones) == sign and -JOIN_ST < between < HEARD_STEP_ST)


def _shapes(pieces: list[_Piece]) -> list[Glide]:
    """Pieces as glides; two audible pieces that meet and turn become a peak or a dip."""
    result: list[Glide] = []
    n = 0
    while n < len(pieces):
        one = pieces[n]
        two = pieces[n + 1] if n + 1 < len(pieces) else None
        if two is not None and _meet(one, two):
            result.append(_turn(one, two))
            n += 2
            continue
        shape: GlideShape = "level"
        if one.audible:
            shape = "rise" if one.semitones > 0 else "fall"
        result.append(
            Glide(one.start_s, one.end_s, one.semitones, shape, one.audible, one.syllables)
        )
        n += 1
    return result


def _turn(one: _Piece, two: _Piece) -> Glide:
    moved = one.semitones if abs(one.semitones) >= abs(two.semitones) else -two.semitones
    shape: GlideShape = "peak" if one.semitones > 0 else "dip"
    spanned = tuple(sorted({*one.syllables, *two.syllables}))
    return Glide(one.start_s, two.end_s, moved, shape, True, spanned)


def _meet(one: _Piece, two: _Piece) -> bool:
    return bool(
        one.audible
        and two.audible
        and np.sign(one.semitones) != np.sign(two.semitones)
        and two.start_s - one.end_s < MEET_S
        and abs(two.from_st - one.to_st) < JOIN_ST
    )
