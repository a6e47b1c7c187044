"""Other ways to find syllables, run in the same process so that figures can be compared.

Each takes samples (shape (n,), float64, -1..1) and a rate and gives times in seconds, sorted. A
peak method gives the peak, an onset method the onset: each is scored where it does best (see
accuracy.py). Nothing here is used by linebeat.
"""

from __future__ import annotations

from itertools import pairwise

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


def findsylls_nuclei(samples: np.ndarray, rate_hz: int, envelope: str) -> np.ndarray:
    """Nuclei by the findsylls package: one of its envelopes, its own peaks and valleys."""
    from findsylls import segment_audio

    spans, _, _ = segment_audio(samples.astype(np.float32), samplerate=rate_hz,
                                envelope_fn=envelope)  # fmt: skip
    return np.array([peak for _, peak, _ in spans], dtype=np.float64)
