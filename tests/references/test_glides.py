"""Glides and endings against the published threshold, and on real speech of known pitch.

Glissando threshold: 't Hart 1976 and 't Hart, Collier & Cohen 1990 (0.16 / T^2, single vowel);
Mertens 2004 (0.32 / T^2 in running speech, 0.16 before a pause). Known pitch: Praat's overlap-add
on the public-domain LibriVox clips of the pocketsphinx 5.1.1 source distribution.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import made_sounds as made
import numpy as np
import pytest
import soundfile

from audio.clip import clip_from_samples
from audio.sound.loudness import find_loudness
from audio.syllables.find_syllables import syllables_from_sound
from audio.voice.glides import GLISSANDO_RUNNING, GLISSANDO_SINGLE, glissando_threshold, is_audible
from audio.voice.phrases import find_pauses, find_phrases
from audio.voice.pitch import find_pitch

EXTENT_TABLE = [
    (0.16, 0.05, 3.2), (0.16, 0.1, 1.6), (0.16, 0.2, 0.8), (0.16, 0.4, 0.4),
    (0.32, 0.05, 6.4), (0.32, 0.1, 3.2), (0.32, 0.2, 1.6), (0.32, 0.4, 0.8),
]  # fmt: skip


@pytest.mark.parametrize(("factor", "length_s", "extent_st"), EXTENT_TABLE)
def test_the_threshold_as_an_extent(factor: float, length_s: float, extent_st: float) -> None:
    """Arithmetic on the published formula: extent = G * T."""
    extent = glissando_threshold(length_s, factor=factor) * length_s
    assert extent == pytest.approx(extent_st)
    assert is_audible(1.001 * extent_st, length_s, factor=factor)
    assert is_audible(-1.001 * extent_st, length_s, factor=factor)
    assert not is_audible(0.999 * extent_st, length_s, factor=factor)


def test_the_factors_are_the_published_ones() -> None:
    assert (GLISSANDO_SINGLE, GLISSANDO_RUNNING) == (0.16, 0.32)


@pytest.mark.reference
@pytest.mark.parametrize("moved_st", [-9.0, -6.0, -4.0, 4.0, 6.0, 9.0])
def test_endings_of_reshaped_speech_within_a_semitone(
    source_package: Callable[[str, str], Path], moved_st: float
) -> None:
    """The last 0.3 s of the voiced part made to move by so much; what survives unvoiced sounds is
    compared, since no pitch can be heard in them."""
    folder = source_package("pocketsphinx", "5.1.1") / "test" / "data" / "librivox"
    off = []
    for path in sorted(folder.glob("*.wav")):
        speech, rate_hz = soundfile.read(path)
        track = find_pitch(clip_from_samples(speech, rate_hz))
        end_s = float(track.times_s()[np.isfinite(track.hz)][-1])
        length_s = len(speech) / rate_hz
        contour = [(0.0, 110.0), ((end_s - 0.3) / length_s, 110.0),
                   (end_s / length_s, 110.0 * 2 ** (moved_st / 12)),
                   (1.0, 110.0 * 2 ** (moved_st / 12))]  # fmt: skip
        sound, asked_hz, inside = made.repitched(speech, rate_hz, contour)
        at_s = np.arange(len(asked_hz)) * 0.005
        if inside[(at_s > end_s - 0.3) & (at_s < end_s)].mean() < 0.4:
            continue  # creak that overlap-add leaves as it is: nothing was put in there
        last = asked_hz[inside & (at_s > end_s - 0.5)]
        clip = clip_from_samples(sound, rate_hz)
        pitch, loudness = find_pitch(clip), find_loudness(clip)
        pauses = find_pauses(loudness, pitch, ())
        phrase = find_phrases(syllables_from_sound(clip, pitch, loudness), (), pauses, pitch)[-1]
        assert phrase.ending == ("rise" if moved_st > 0 else "fall"), path.name
        truth = 12 * np.log2(last[-1] / last[0])
        off.append(abs(phrase.ending_semitones - truth))
    print(f"\n{moved_st:+.0f} st: off by {np.round(off, 2)}")
    assert len(off) >= 3
    assert np.median(off) < 1.0
