"""The sound of a shot as one clip: every line at its place, for a page that plays it.

Mono, 16 bit FLAC, at the recordings' own rate where they agree and it is no higher than speech
needs. Lines that sound at once are added; the whole is turned down only if it would clip.
Opens the scene's sound files.
"""

from __future__ import annotations

import base64
import io

import numpy as np
from numpy.typing import NDArray

from audio.clip import ANALYSIS_RATE_HZ, load_samples
from planner.export.facts import ShotFacts
from planner.scene import Line, Scene

HIGHEST_RATE_HZ = 32_000  # speech has nothing an animator listens for above 16 kHz
PEAK = 0.98
LONG_S = 60.0
LIGHT_RATE_HZ, LIGHT_STEPS = 16_000, 512  # steps either way: 10 bits

Samples = NDArray[np.float32]


def shot_flac_uri(facts: ShotFacts) -> str:
    """The sound of the frames shown as a data URI. Raises ClipError for a sound that is gone.

    Of a long shot as light as review needs it, so that the page can still be sent by mail.
    """
    long = facts.clock.rate.start_s(facts.frames[1] - facts.frames[0] + 1) > LONG_S
    data = shot_flac(facts, light=long)
    return "data:audio/flac;base64," + base64.b64encode(data).decode("ascii")


def shot_flac(facts: ShotFacts, *, light: bool = False) -> bytes:
    """The sound of the frames shown, from the start of the first to the end of the last.

    light : 16 kHz and 10 bits, a quarter of the size.
    """
    import soundfile

    start_s = facts.clock.scene_s(facts.frames[0])
    end_s = facts.clock.scene_s(facts.frames[1] + 1)
    voices = [(line.at_s, *_voice(facts.scene, line)) for line in facts.scene.lines]
    rate_hz = min(max((r for _, _, r in voices), default=ANALYSIS_RATE_HZ), HIGHEST_RATE_HZ)
    rate_hz = min(rate_hz, LIGHT_RATE_HZ) if light else rate_hz
    mixed = np.zeros(max(1, round((end_s - start_s) * rate_hz)), dtype=np.float32)
    for at_s, samples, own_hz in voices:
        _add(mixed, _at_rate(samples, own_hz, rate_hz), round((at_s - start_s) * rate_hz))
    peak = float(np.abs(mixed).max())
    if peak > PEAK:
        mixed *= PEAK / peak
    if light:
        mixed = np.round(mixed * LIGHT_STEPS) / np.float32(LIGHT_STEPS)
    out = io.BytesIO()
    soundfile.write(out, mixed, rate_hz, format="FLAC", subtype="PCM_16")
    return out.getvalue()


def _voice(scene: Scene, line: Line) -> tuple[Samples, int]:
    """A line's samples and their rate, the file's own."""
    start_s, end_s = line.clip_s or (None, None)
    return load_samples(f"{scene.folder}/{line.sound}", start_s=start_s, end_s=end_s)


def _at_rate(samples: Samples, own_hz: int, rate_hz: int) -> Samples:
    if own_hz == rate_hz or not len(samples):
        return samples
    import soxr

    resampled: Samples = soxr.resample(samples, own_hz, rate_hz).astype(np.float32)
    return resampled


def _add(mixed: Samples, samples: Samples, at: int) -> None:
    """Lay samples into the mix from `at` on; what lies outside is left out."""
    first, last = max(at, 0), min(at + len(samples), len(mixed))
    if first < last:
        mixed[first:last] += samples[first - at : last - at]
