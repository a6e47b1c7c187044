"""Sounds of which everything is known: voices by a pulse train, breaths, laughs, sighs, reshapings.

Rate 16 kHz. A voiced sound is a pulse train of given pitch through three resonances; a breath is
band-passed noise under a smooth swell; a laugh is a train of "h" noise and voiced burst; a sigh
falls from its start. They prove times and figures; they do not prove that a real breath, which
differs from person to person and from microphone to microphone, is found.
"""

from __future__ import annotations

import numpy as np
from scipy.signal import butter, lfilter, sosfilt

RATE_HZ = 16_000
OPEN_VOWEL = ((700.0, 90.0), (1200.0, 110.0), (2600.0, 160.0))  # formant, bandwidth Hz: "ah"
CLOSE_VOWEL = ((320.0, 70.0), (2200.0, 120.0), (2900.0, 160.0))  # "ee"
Sound = np.ndarray


def silence(length_s: float) -> Sound:
    """Zeros."""
    return np.zeros(round(length_s * RATE_HZ))


def noise(length_s: float, rng: np.random.Generator, *, low_hz: float = 300.0) -> Sound:
    """Noise from low_hz to 6 kHz that falls towards the top, root mean square 1."""
    size = round(length_s * RATE_HZ)
    bands = butter(2, [low_hz, 6000.0], "bandpass", fs=RATE_HZ, output="sos")
    raw = lfilter([1.0], [1.0, -0.5], sosfilt(bands, rng.standard_normal(size + 400)))[400:]
    return raw / raw.std()


def swell(size: int, peak: float) -> Sound:
    """A smooth rise to 1 at `peak` (0..1) and a smooth fall."""
    at = np.linspace(0.0, 1.0, size)
    up, down = np.sin(np.pi / 2 * at / peak), np.cos(np.pi / 2 * (at - peak) / (1 - peak))
    return np.abs(np.where(at < peak, up, down)) ** 1.5


def voiced(
    pitch_hz: float | Sound, length_s: float, rng: np.random.Generator, formants: tuple = OPEN_VOWEL
) -> Sound:
    """A vowel of given pitch (a number, or a value a sample), root mean square 1.

    The source is a sum of equal harmonics up to 7 kHz: pulses put on whole samples would have
    subharmonics of their own.
    """
    track = np.broadcast_to(np.asarray(pitch_hz, dtype=float), (round(length_s * RATE_HZ),))
    phase = 2 * np.pi * np.cumsum(track) / RATE_HZ
    numbers = np.arange(1, int(7000.0 / track.max()) + 1)
    source = sum(np.cos(n * phase) for n in numbers) / len(numbers) ** 0.5
    sound = lfilter([1.0], [1.0, -0.9], source + 0.05 * rng.standard_normal(len(track)))
    for hz, width_hz in formants:
        radius = np.exp(-np.pi * width_hz / RATE_HZ)
        turn = 2 * radius * np.cos(2 * np.pi * hz / RATE_HZ)
        sound = lfilter([1 - radius], [1.0, -turn, radius**2], sound)
    return sound / sound.std()


def whispered(length_s: float, rng: np.random.Generator, formants: tuple = OPEN_VOWEL) -> Sound:
    """A whispered vowel: noise through the same resonances, root mean square 1."""
    sound = noise(length_s, rng, low_hz=200.0)
    for hz, width_hz in formants:
        radius = np.exp(-np.pi * 1.5 * width_hz / RATE_HZ)
        turn = 2 * radius * np.cos(2 * np.pi * hz / RATE_HZ)
        sound = lfilter([1 - radius], [1.0, -turn, radius**2], sound)
    return sound / sound.std()


def glide(from_hz: float, to_hz: float, length_s: float) -> Sound:
    """Pitch a sample, straight in semitones."""
    return np.geomspace(from_hz, to_hz, round(length_s * RATE_HZ))


def breath(length_s: float, rng: np.random.Generator) -> Sound:
    """An in-breath: noise that swells up to two thirds and falls."""
    air = noise(length_s, rng)
    return air * swell(len(air), 0.65)


def laugh(rng: np.random.Generator, *, bursts: int = 5, per_s: float = 5.0, pitch_hz: float = 240.0,
          decay_db: float = 2.0) -> Sound:  # fmt: skip
    """Bursts of "ha", each softer and a little lower than the one before."""
    pieces = []
    for n in range(bursts):
        air = noise(0.55 / per_s, rng)
        size_s = 0.45 / per_s
        top = pitch_hz * 0.95**n
        tone = voiced(glide(top * 1.05, top * 0.92, size_s), size_s, rng)
        burst = np.concatenate((0.12 * air * swell(len(air), 0.6), tone * swell(len(tone), 0.3)))
        pieces.append(burst * 10 ** (-decay_db * n / 20))
    return np.concatenate(pieces)


def sigh(length_s: float, rng: np.random.Generator, *, pitch_hz: float | None = None) -> Sound:
    """Breath let go: loud at the start, falling; with a pitch, a falling tone that dissolves."""
    air = noise(length_s, rng, low_hz=250.0)
    shape = swell(len(air), 0.15)
    if pitch_hz is None:
        return air * shape
    fade = np.interp(np.linspace(0, 1, len(air)), [0, 0.5, 0.75, 1], [1, 0.4, 0, 0])
    tone = voiced(glide(pitch_hz * 1.1, pitch_hz * 0.7, length_s), length_s, rng)
    return 0.4 * air * shape + tone * shape * fade


def syllable_train(
    rng: np.random.Generator, count: int, *, pitch_hz: float = 130.0, vowel_s: float = 0.14,
    gap_s: float = 0.07, hiss: float = 0.15,
) -> tuple[Sound, list[float]]:  # fmt: skip
    """ "Sa"-like syllables of changing vowels: the sound, and where each vowel begins (s)."""
    pieces, onsets, at_s = [], [], 0.0
    for n in range(count):
        air = noise(gap_s, rng, low_hz=3000.0)
        vowel = (OPEN_VOWEL, CLOSE_VOWEL)[n % 2]
        size = round(vowel_s * RATE_HZ)
        edge = np.interp(np.arange(size), [0, 160, size - 480, size], [0, 1, 1, 0.1])
        tone = voiced(pitch_hz * 1.02 ** (n % 3), vowel_s, rng, vowel) * edge
        pieces += [hiss * air, tone]
        onsets.append(at_s + gap_s)
        at_s += gap_s + vowel_s
    return np.concatenate(pieces), onsets


def level_db(sound: Sound, db: float) -> Sound:
    """The sound brought to a root-mean-square level in dB re full scale."""
    return sound / np.sqrt(np.mean(np.square(sound))) * 10 ** (db / 20)


def with_noise(sound: Sound, snr_db: float, *, seed: int = 0) -> Sound:
    """The sound in room-like (low) noise at a signal-to-noise ratio."""
    rng = np.random.default_rng(seed)
    room = lfilter([1.0], [1.0, -0.9], rng.standard_normal(len(sound)))
    wanted = np.mean(np.square(sound)) / 10 ** (snr_db / 10)
    return sound + room * np.sqrt(wanted / np.mean(np.square(room)))


def repitched(
    samples: Sound, rate_hz: int, contour: list[tuple[float, float]]
) -> tuple[Sound, Sound, Sound]:
    """Speech given a new pitch by Praat's overlap-add.

    contour : (share of the length 0..1, Hz). Returns the samples, the pitch asked for every 5 ms,
    and whether the original is surely voiced there (10 ms inside its voiced stretches).
    """
    import parselmouth
    from parselmouth.praat import call

    sound = parselmouth.Sound(samples, rate_hz)
    manipulation = call(sound, "To Manipulation", 0.005, 75, 500)
    tier = call(manipulation, "Extract pitch tier")
    call(tier, "Remove points between", 0, sound.duration)
    for share, hz in contour:
        call(tier, "Add point", share * sound.duration, hz)
    call([manipulation, tier], "Replace pitch tier")
    result = call(manipulation, "Get resynthesis (overlap-add)")
    times = np.arange(0.0, sound.duration, 0.005)
    asked = np.array([call(tier, "Get value at time", t) for t in times])
    pitch = sound.to_pitch_ac(0.005, 75, 15, False, 0.03, 0.45, 0.01, 0.35, 0.14, 500)
    heard = np.array([np.isfinite(pitch.get_value_at_time(t)) for t in times])
    inside = heard.copy()
    for shift in (1, 2):
        inside[shift:] &= heard[:-shift]
        inside[:-shift] &= heard[shift:]
    return np.clip(result.values[0], -1.0, 1.0), asked, inside
