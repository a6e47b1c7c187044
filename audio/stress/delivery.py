"""How each syllable is said: how hard it starts, with what effort, how fast, and what changes.

These are for timing: a struck syllable wants a short way in, a drawled one a long way back, and a
voice that hurries or presses is another attitude. None of it decides whether a syllable stands out.

Attack is the steepest rise of the level over ATTACK_S, from the consonant before the vowel to
NUCLEUS_S past its onset; what lies RANGE_DB under the voice is silence, so that a soft syllable
that comes out of silence is not as hard as a loud one. The level is measured in windows of 20 ms:
rises of 200 to 400 dB a second are read within 15 %, pulses of a low voice alone make up to 150,
and nothing is steeper than about 1100.
Effort is the balance of level above and below 500 Hz (Sluijter & van Heuven 1996, JASA 100:2471:
it grows with vocal effort), less the vowel's own. Tempo is expected over heard length
(`expected_length`) of the syllables around, against the clip's median; the local rate counts them.
Shapes (n,), n syllables; see `audio.reading.Delivery` for the units.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from audio.reading import Delivery, FloatArray, LoudnessTrack, Syllable
from audio.sound.loudness import smooth
from audio.stress.stress_cues import Cues

SMOOTH_S = 0.015  # takes the ripple of single glottal pulses out
ATTACK_S = 0.02  # over which the rise is taken: a burst is over by then, a glide has just begun
BEFORE_S = 0.06  # a rise begins this long before the vowel at the earliest (an aspirated stop)
NUCLEUS_S = 0.07  # and is over this long after its onset
VOICE_PERCENT = 90.0  # of the level: how loud the voice is in this clip
RANGE_DB = 25.0  # what lies further under that counts as silence
AROUND = 2  # syllables to each side that a local rate is taken over
BEFORE = 3  # syllables before that a change is measured against
SHORTEST_S = 0.03  # no syllable is taken as shorter


def find_delivery(
    syllables: Sequence[Syllable],
    cues: Cues,
    loudness: LoudnessTrack,
    phrases: Sequence[tuple[int, int]],
) -> tuple[Delivery, ...]:
    """The delivery of every syllable. phrases : first and last syllable, inclusive, in order."""
    if not syllables:
        return ()
    attack = attack_db_per_s(syllables, loudness)
    effort = cues.tilt_db - float(np.median(cues.tilt_db))
    slowness = around_each(cues.length_log, phrases)
    tempo = np.exp(float(np.median(cues.length_log)) - slowness)
    lengths_s = np.array([max(s.end_s - s.start_s, SHORTEST_S) for s in syllables])
    rate = 1.0 / around_each(lengths_s, phrases)
    changes = [values - before_each(values, phrases) for values in (attack, effort)]
    quicker = np.exp(before_each(cues.length_log, phrases) - cues.length_log)
    columns = (attack, effort, rate, tempo, *changes, quicker)
    return tuple(Delivery(*map(float, row)) for row in zip(*columns, strict=True))


def attack_db_per_s(syllables: Sequence[Syllable], loudness: LoudnessTrack) -> FloatArray:
    """Steepest rise of the level into each vowel, dB a second, 0 where it only falls."""
    level = smooth(np.asarray(loudness.db), SMOOTH_S)
    if len(level) == 0:
        return np.zeros(len(syllables))
    level = np.maximum(level, float(np.percentile(level, VOICE_PERCENT)) - RANGE_DB)
    lag = max(1, round(ATTACK_S / loudness.step_s))
    rise = np.maximum(level[lag:] - level[:-lag], 0.0) / (lag * loudness.step_s)
    out = np.zeros(len(syllables))
    for i, syllable in enumerate(syllables):
        first_s = max(syllable.nucleus_s - BEFORE_S, syllable.start_s - ATTACK_S, 0.0)
        first = round((first_s - loudness.start_s) / loudness.step_s)
        last_s = min(syllable.nucleus_s + NUCLEUS_S, max(syllable.end_s, first_s + ATTACK_S))
        last = round((last_s - loudness.start_s) / loudness.step_s) - lag + 1
        part = rise[max(first, 0) : max(last, first + 1)]
        out[i] = part.max() if len(part) else 0.0
    return out


def around_each(values: FloatArray, phrases: Sequence[tuple[int, int]]) -> FloatArray:
    """Mean over each syllable and up to AROUND to each side within its phrase."""
    out = values.astype(np.float64)
    for first, last in phrases:
        for i in range(first, last + 1):
            out[i] = values[max(first, i - AROUND) : min(last, i + AROUND) + 1].mean()
    return out


def before_each(values: FloatArray, phrases: Sequence[tuple[int, int]]) -> FloatArray:
    """Mean of the up to BEFORE syllables before, within the phrase; its own where there is none."""
    out = values.astype(np.float64)
    for first, last in phrases:
        for i in range(first + 1, last + 1):
            out[i] = values[max(first, i - BEFORE) : i].mean()
    return out
