"""Other ways to find syllables, run in the same process so that figures can be compared.

Each takes samples (shape (n,), float64, -1..1) and a rate and gives times in seconds, sorted. A
peak method gives the peak, an onset method the onset: each is scored where it does best (see
accuracy.py). Nothing here is used by linebeat.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import numpy as np

SILENCE_DB = -25.0  # De Jong & Wempe script, version of September 2010
DIP_DB = 2.0  # the same
FLOOR_HZ = 50.0  # the same: least pitch of the intensity analysis
VOICING = (0.02, 30.0, 450.0)  # the same: step s, floor and ceiling Hz


def de_jong_wempe(samples: np.ndarray, rate_hz: int) -> np.ndarray:
    """Syllable nuclei: intensity peaks with a dip of 2 dB after them, voiced.

    De Jong & Wempe 2009 (Behavior Research Methods 41:385-390), settings of the script's 2010
    version, written anew from its description. As in the script a peak is kept for the dip that
    follows it, so that the last one above the threshold is not.
    """
    import parselmouth

    sound = parselmouth.Sound(samples - samples.mean(), rate_hz)
    if sound.duration < 6.4 / FLOOR_HZ:
        return np.zeros(0)
    intensity = sound.to_intensity(FLOOR_HZ, subtract_mean=False)
    db, times = intensity.values[0], intensity.xs()
    threshold = max(np.percentile(db, 99) + SILENCE_DB, db.min())
    peaks = [
        i
        for i in range(1, len(db) - 1)
        if db[i] > threshold and db[i] >= db[i - 1] and db[i] > db[i + 1]
    ]
    pitch = sound.to_pitch_ac(
        VOICING[0], VOICING[1], 4, False, 0.03, 0.25, 0.01, 0.35, 0.25, VOICING[2]
    )
    found = [
        float(times[a])
        for a, b in pairwise(peaks)
        if db[a] - db[a:b].min() > DIP_DB and np.isfinite(pitch.get_value_at_time(times[a]))
    ]
    return np.array(found)


def intensity_peaks(samples: np.ndarray, rate_hz: int) -> np.ndarray:
    """Peaks of a smoothed level that stand out by 3 dB from both sides: the plainest method."""
    from scipy.signal import find_peaks

    step = rate_hz // 100
    power = np.convolve(samples**2, np.hanning(5 * step), mode="same")[::step]
    db = 10 * np.log10(power + 1e-9)
    peaks, _ = find_peaks(db, prominence=3.0, height=db.max() - 25)
    return peaks / 100.0


def librosa_onsets(samples: np.ndarray, rate_hz: int) -> np.ndarray:
    """librosa's onset detector with its own settings (made for notes rather than syllables)."""
    import librosa

    found = librosa.onset.onset_detect(y=samples.astype(np.float32), sr=rate_hz, units="time")
    return np.asarray(found, dtype=np.float64)


ENVELOPES = ("sbs", "hilbert", "rms", "lowpass", "gammatone", "theta")


def has_findsylls() -> bool:
    """Whether the package and the torch it imports are there."""
    try:
        import findsylls  # noqa: F401
    except ImportError:
        return False
    return True


def findsylls_finder(envelope: str) -> Callable[[np.ndarray, int], np.ndarray]:
    """A finder by one of the package's envelopes, its own peaks and valleys."""

    def find(samples: np.ndarray, rate_hz: int) -> np.ndarray:
        import soundfile
        from findsylls import segment_audio

        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "sound.wav"
            soundfile.write(path, samples, rate_hz)
            spans, _, _ = segment_audio(
                str(path), method="peakdetect", segmentation_kwargs={"envelope_method": envelope}
            )
        return np.array([peak for _, peak, _ in spans], dtype=np.float64)

    return find


def _at(times: np.ndarray, own_s: np.ndarray, hz: np.ndarray) -> np.ndarray:
    """Values of a track at other times: the nearest within 10 ms, NaN where unvoiced."""
    place = np.clip(np.searchsorted(own_s, times), 1, len(own_s) - 1)
    place -= times - own_s[place - 1] < own_s[place] - times
    return np.where(np.abs(own_s[place] - times) <= 0.01, hz[place], np.nan)


def linebeat_pitch(samples: np.ndarray, rate_hz: int, times: np.ndarray) -> np.ndarray:
    """linebeat's own track."""
    from audio.clip import clip_from_samples
    from audio.voice.pitch import find_pitch

    track = find_pitch(clip_from_samples(samples.astype(np.float32), rate_hz))
    return _at(times, track.times_s(), track.hz)


def swift_pitch(samples: np.ndarray, rate_hz: int, times: np.ndarray) -> np.ndarray:
    """swift-f0, a small neural tracker, with its own settings."""
    from swift_f0 import SwiftF0

    result = SwiftF0().detect(samples.astype(np.float32), rate_hz)
    hz = np.where(np.asarray(result.confidence) > 0.5, result.pitch_hz, np.nan)
    return _at(times, np.asarray(result.timestamps), hz)


def pyin_pitch(samples: np.ndarray, rate_hz: int, times: np.ndarray) -> np.ndarray:
    """librosa's pYIN between 60 and 600 Hz."""
    import librosa

    hop = rate_hz // 100
    hz, _, _ = librosa.pyin(
        samples.astype(np.float32), fmin=60, fmax=600, sr=rate_hz, hop_length=hop
    )
    return _at(times, np.arange(len(hz)) * hop / rate_hz, hz)


def praat_pitch(samples: np.ndarray, rate_hz: int, times: np.ndarray) -> np.ndarray:
    """Praat's autocorrelation with its standard settings (75-600 Hz)."""
    import parselmouth

    pitch = parselmouth.Sound(samples, rate_hz).to_pitch_ac(time_step=0.01)
    hz = pitch.selected_array["frequency"]
    return _at(times, pitch.xs(), np.where(hz > 0, hz, np.nan))


TRACKERS = {"linebeat": linebeat_pitch, "Praat, standard settings": praat_pitch}


def agreed_pitch(samples: np.ndarray, rate_hz: int) -> tuple[np.ndarray, np.ndarray]:
    """Times (10 ms) and pitch where swift-f0 and pYIN are within 5 %, NaN elsewhere."""
    times = np.arange(0.0, len(samples) / rate_hz, 0.01)
    one, other = swift_pitch(samples, rate_hz, times), pyin_pitch(samples, rate_hz, times)
    with np.errstate(invalid="ignore"):
        agree = np.abs(one / other - 1) < 0.05
    return times, np.where(agree, one, np.nan)
