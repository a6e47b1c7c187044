"""What may happen to a voice before it is heard: for tests.training.nuclei.

Each function takes speech of known vowels (nuclei_material.Spoken) and a random generator and
gives the same with its truth moved along. Rooms, noises, other pitches and tempi, telephones, level
steps, vowels drawn out, whispers; and sounds without any vowel.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from audio.clip import ANALYSIS_RATE_HZ
from tests.training.nuclei_material import Spoken

FloatArray = NDArray[np.float32]
Samples = NDArray[np.floating[Any]]
Rng = np.random.Generator
RATE = ANALYSIS_RATE_HZ


def _moved(spoken: Spoken, samples: FloatArray, place: Callable[[float], float]) -> Spoken:
    """With other samples, and every time put through `place`."""
    spans = [
        tuple((place(a), place(b)) for a, b in group)
        for group in (spoken.vowels_s, spoken.unsure_s)
    ]
    onsets = tuple(place(t) for t in spoken.onsets_s)
    return replace(
        spoken, samples=samples.astype(np.float32), onsets_s=onsets,
        vowels_s=spans[0], unsure_s=spans[1],
    )  # fmt: skip


def faster(spoken: Spoken, rng: Rng) -> Spoken:
    """Played faster or slower: pitch, formants and tempo together."""
    import soxr

    factor = float(rng.uniform(0.78, 1.3))
    samples = soxr.resample(spoken.samples, RATE * factor, RATE)
    return _moved(spoken, samples, lambda t: t / factor)


def revoiced(spoken: Spoken, rng: Rng) -> Spoken:
    """Another pitch, range, tract and tempo by Praat's overlap-add; squeals up to 700 Hz."""
    import parselmouth
    from parselmouth.praat import call

    sound = parselmouth.Sound(spoken.samples.astype(np.float64), RATE)
    pitch_hz = float(np.exp(rng.uniform(np.log(75), np.log(600 if rng.random() < 0.3 else 320))))
    tempo = float(rng.uniform(0.7, 1.5))
    try:
        made = call(
            sound, "Change gender", 60, 600, float(rng.uniform(0.82, 1.25)), pitch_hz,
            float(rng.uniform(0.2, 2.0)), tempo,
        )  # fmt: skip
    except parselmouth.PraatError:
        return spoken
    tempo = made.duration / sound.duration
    return _moved(spoken, made.values[0].astype(np.float32), lambda t: t * tempo)


def drawn_out(spoken: Spoken, rng: Rng) -> Spoken:
    """One or two vowels three to ten times as long."""
    import parselmouth
    from parselmouth.praat import call

    own = [(a, b) for a, b in spoken.vowels_s if any(abs(a - t) < 0.001 for t in spoken.onsets_s)]
    if not own:
        return spoken
    sound = parselmouth.Sound(spoken.samples.astype(np.float64), RATE)
    picked = sorted(own[i] for i in set(rng.integers(0, len(own), 2).tolist()))
    work = call(sound, "To Manipulation", 0.01, 60, 600)
    lengths = call("Create DurationTier", "lengths", 0.0, sound.duration)
    knots, at = [(0.0, 0.0)], 0.0
    for start, end in picked:
        factor = float(rng.uniform(2.5, 10.0))
        a, b = start + 0.25 * (end - start), start + 0.75 * (end - start)
        for time, value in ((a - 1e-4, 1.0), (a, factor), (b, factor), (b + 1e-4, 1.0)):
            call(lengths, "Add point", time, value)
        at += a - knots[-1][0]
        knots.append((a, at))
        at += factor * (b - a)
        knots.append((b, at))
    call([lengths, work], "Replace duration tier")
    made = call(work, "Get resynthesis (overlap-add)").values[0]
    knots.append((sound.duration, at + sound.duration - knots[-1][0]))
    old, new = np.array(knots).T
    return _moved(spoken, made.astype(np.float32), lambda t: float(np.interp(t, old, new)))


def whispered(spoken: Spoken, rng: Rng) -> Spoken:
    """The same tract, excited by noise: linear prediction, 20 ms frames."""
    from scipy.linalg import solve_toeplitz
    from scipy.signal import lfilter

    size, step, order = 480, 160, 18
    sound = lfilter([1.0, -0.9], [1.0], spoken.samples.astype(np.float64))
    result = np.zeros(len(sound) + size)
    window = np.hanning(size)
    air = rng.standard_normal(len(result))
    for at in range(0, len(sound) - size, step):
        frame = sound[at : at + size] * window
        lags = np.correlate(frame, frame, "full")[size - 1 : size + order]
        if lags[0] < 1e-8:
            continue
        lags[0] *= 1.0005
        poles = solve_toeplitz(lags[:-1], lags[1:])
        gain = np.sqrt(max(lags[0] - poles @ lags[1:], 1e-12) / size)
        result[at : at + size] += (
            window * gain * lfilter([1.0], np.r_[1.0, -poles], air[at : at + size])
        )
    result = lfilter([1.0], [1.0, -float(rng.uniform(0.3, 0.8))], result[: len(sound)])
    return replace(spoken, samples=_peaked(result))


def _peaked(samples: Samples) -> FloatArray:
    return np.asarray(0.5 * samples / (np.abs(samples).max() + 1e-9), dtype=np.float32)


def _shaped(samples: Samples, hz: list[float], gain_db: list[float]) -> FloatArray:
    """Filtered by a curve of gains over frequency (straight lines over log frequency)."""
    spectrum = np.fft.rfft(samples)
    at = np.log(np.maximum(np.fft.rfftfreq(len(samples), 1 / RATE), 20.0))
    curve = np.interp(at, np.log(hz), gain_db)
    made = np.fft.irfft(spectrum * 10 ** (curve / 20), len(samples))
    return np.asarray(made, dtype=np.float32)


def tilted(spoken: Spoken, rng: Rng) -> Spoken:
    """Another microphone."""
    hz = [40.0, 150.0, 400.0, 1000.0, 2500.0, 5000.0, 8000.0]
    tilt = float(rng.uniform(-5, 5))
    gains = [tilt * np.log2(f / 1000.0) * 0.6 + float(rng.normal(0, 3)) for f in hz]
    return replace(spoken, samples=_shaped(spoken.samples, hz, gains))


def telephoned(spoken: Spoken, rng: Rng) -> Spoken:
    """Band-limited."""
    low, high = (250.0, 3400.0) if rng.random() < 0.6 else (40.0, float(rng.uniform(3500, 6000)))
    hz = [20.0, low * 0.7, low, high, high * 1.15, 8000.0]
    return replace(
        spoken, samples=_shaped(spoken.samples, hz, [-50.0, -40.0, 0.0, 0.0, -40.0, -60.0])
    )


def in_a_room(spoken: Spoken, rng: Rng) -> Spoken:
    """With an echo that dies away."""
    from scipy.signal import fftconvolve

    tail_s = float(rng.uniform(0.1, 0.6))
    size = int(tail_s * RATE)
    dying = rng.standard_normal(size) * 10 ** (-3 * np.arange(size) / size)
    tail = _shaped(dying, [60.0, 1000.0, 8000.0], [0.0, 0.0, float(rng.uniform(-20, 0))])
    tail[: int(float(rng.uniform(0.002, 0.015)) * RATE)] = 0
    tail *= 10 ** (float(rng.uniform(-14, 1)) / 20) / (np.sqrt(np.sum(tail**2)) + 1e-9)
    tail[0] = 1.0
    return replace(
        spoken, samples=_peaked(fftconvolve(spoken.samples, tail)[: len(spoken.samples)])
    )


def levelled(spoken: Spoken, rng: Rng) -> Spoken:
    """Louder and softer on the way."""
    count = int(rng.integers(2, 6))
    at = np.sort(rng.uniform(0, len(spoken.samples), count))
    if rng.random() < 0.4:  # a step
        at[1:] = np.maximum(at[1:], at[0] + 400)
    gain = np.interp(np.arange(len(spoken.samples)), at, rng.uniform(-18, 0, count))
    return replace(spoken, samples=(spoken.samples * 10 ** (gain / 20)).astype(np.float32))


def padded(spoken: Spoken, rng: Rng) -> Spoken:
    """With silence before and after."""
    before, after = (int(t * RATE) for t in rng.exponential(0.5, 2).clip(0, 3))
    return _moved(spoken, np.pad(spoken.samples, (before, after)), lambda t: t + before / RATE)


def noise(size: int, rng: Rng, babble: list[FloatArray]) -> FloatArray:
    """Noise of a kind drawn by lot, root mean square 1; babble : voices it may be made of."""
    kinds = ["white", "pink", "brown", "hum", "coloured", "uneven", "babble"]
    chances = np.array([0.17, 0.25, 0.13, 0.07, 0.18, 0.1, 0.1 if babble else 0.0])
    kind = rng.choice(kinds, p=chances / chances.sum())
    white = rng.standard_normal(size)
    hz = [30.0, 200.0, 800.0, 2000.0, 4000.0, 8000.0]
    at = np.arange(size)
    made: Samples
    if kind == "white":
        made = white
    elif kind in ("pink", "brown"):
        slope = -3.0 if kind == "pink" else -6.0
        made = _shaped(white, hz, [slope * float(np.log2(f / 30.0)) for f in hz])
    elif kind == "hum":
        base = float(rng.choice([50.0, 60.0, 100.0, float(rng.uniform(40, 200))]))
        made = 0.1 * white
        for k in range(1, 15):
            turn = 2 * np.pi * base * k * at / RATE + float(rng.uniform(0, 6))
            made = made + float(rng.uniform(0, 1)) / k * np.sin(turn)
    elif kind == "babble":
        made = np.zeros(size)
        for _ in range(int(rng.integers(4, 9))):
            voice = babble[int(rng.integers(len(babble)))]
            turned = np.roll(np.resize(voice, size), int(rng.integers(size)))
            made = made + turned / (turned.std() + 1e-9)
    else:
        made = _shaped(white, hz, [float(g) for g in np.cumsum(rng.normal(-2, 6, len(hz)))])
        if kind == "uneven":
            knots = np.arange(0, size + RATE, int(RATE * rng.uniform(0.08, 0.8)))
            swing = rng.uniform(-8, 8, len(knots))
            made = made * 10 ** (np.interp(at, knots, swing) / 20)
    return np.asarray(made / (np.std(made) + 1e-9), dtype=np.float32)


def in_noise(spoken: Spoken, rng: Rng, babble: list[FloatArray]) -> Spoken:
    """In noise at 0 to 40 dB under the voice."""
    if not spoken.samples.any():
        return spoken
    loud = spoken.samples[np.abs(spoken.samples) > 0.02 * np.abs(spoken.samples).max()]
    snr_db = float(rng.uniform(2, 25) if rng.random() < 0.75 else rng.uniform(25, 45))
    scale = np.sqrt(np.mean(loud**2)) * 10 ** (-snr_db / 20)
    added = scale * noise(len(spoken.samples), rng, babble)
    return replace(spoken, samples=(spoken.samples + added).astype(np.float32))


def heard_somehow(spoken: Spoken, rng: Rng, babble: list[FloatArray]) -> Spoken:
    """A chain of the above, drawn by lot."""
    steps: list[tuple[float, Callable[[Spoken, Rng], Spoken]]] = [
        (0.3, revoiced), (0.45, faster), (0.06, drawn_out), (0.05, whispered), (0.35, levelled),
        (0.25, in_a_room), (0.55, padded), (0.6, tilted),
    ]  # fmt: skip
    for chance, step in steps:
        if rng.random() < chance:
            spoken = step(spoken, rng)
    if rng.random() < 0.65:
        spoken = in_noise(spoken, rng, babble)
    if rng.random() < 0.15:
        spoken = telephoned(spoken, rng)
    floor = 10 ** float(rng.uniform(-6, -3.5)) * rng.standard_normal(len(spoken.samples))
    return replace(spoken, samples=(spoken.samples + floor).astype(np.float32))


def no_voice(rng: Rng) -> Spoken:
    """Four seconds of noise, hum, breaths, clicks or tones: no vowel anywhere."""
    size = 4 * RATE
    kind = rng.choice(["noise", "breaths", "tones"])
    made: Samples = 10 ** float(rng.uniform(-4, -2)) * rng.standard_normal(size)
    if kind == "noise":
        made = made + 0.1 * noise(size, rng, [])
    elif kind == "breaths":
        at = 0.2
        while at < 3.2:
            length = int(rng.uniform(0.3, 1.2) * RATE)
            first = int(at * RATE)
            air = _shaped(rng.standard_normal(length), [100.0, 400.0, 1500.0, 5000.0, 8000.0],
                          [-25.0, *(float(g) for g in rng.normal(0, 3, 3)), -12.0])  # fmt: skip
            air = air * np.sin(np.pi * np.linspace(0, 1, length) ** float(rng.uniform(0.5, 1.6)))
            made[first : first + length] += 0.1 * air[: size - first]
            at += length / RATE + float(rng.uniform(0.2, 0.9))
    else:
        t = np.arange(size) / RATE
        for _ in range(int(rng.integers(1, 4))):
            hz = float(np.exp(rng.uniform(np.log(60), np.log(4000))))
            made = made + 0.1 * np.sin(2 * np.pi * hz * t + float(rng.uniform(0, 6)))
    return Spoken("none", _peaked(made), (), ())


def built(rng: Rng) -> Spoken:
    """Vowels of resonances drawn by lot, steady or gliding, short or held for seconds."""
    from scipy.signal import lfilter

    pieces: list[Samples] = [np.zeros(int(rng.uniform(0.1, 0.6) * RATE))]
    onsets: list[float] = []
    spans: list[tuple[float, float]] = []
    pitch = float(np.exp(rng.uniform(np.log(45), np.log(500))))
    breathy = float(rng.choice([0.02, 0.1, 0.5]))
    for _ in range(int(rng.integers(1, 10))):
        gap = int(rng.uniform(0.03, 0.16) * RATE)
        hiss: Samples = rng.standard_normal(gap)
        kind = int(rng.integers(3))
        if kind == 0:
            hiss = lfilter([1.0, -0.95], [1.0], hiss) * float(rng.uniform(0.02, 0.3))
        elif kind == 1:
            hiss = hiss * 0.001
        else:
            hum = np.sin(2 * np.pi * pitch * np.arange(gap) / RATE)
            hiss = 0.001 * hiss + 0.25 * hum
        held = rng.random() < 0.15
        size = int(float(rng.uniform(0.5, 2.2) if held else rng.uniform(0.06, 0.3)) * RATE)
        at = np.arange(size) / RATE
        track = pitch * (1 + float(rng.uniform(0, 0.03)) * np.sin(2 * np.pi * 5 * at))
        track = track * 2 ** (
            np.linspace(float(rng.uniform(-4, 4)), float(rng.uniform(-4, 4)), size) / 12
        )
        phase = 2 * np.pi * np.cumsum(track) / RATE
        top = int(7000 / track.max())
        source = np.zeros(size)
        for n in range(1, min(top, 60) + 1):
            source += np.cos(n * phase) / n**0.5
        sound: Samples = source / (source.std() + 1e-9) + breathy * rng.standard_normal(size)
        formants = (rng.uniform(280, 850), rng.uniform(850, 2300), rng.uniform(2400, 3200))
        for hz in formants:
            radius = np.exp(-np.pi * float(rng.uniform(60, 160)) / RATE)
            sound = lfilter(
                [1 - radius], [1, -2 * radius * np.cos(2 * np.pi * hz / RATE), radius**2], sound
            )
        rise, fall = int(rng.uniform(0.005, 0.03) * RATE), int(rng.uniform(0.01, 0.05) * RATE)
        edge = np.minimum(
            1, np.minimum((np.arange(size) + 1) / rise, (size - np.arange(size)) / fall)
        )
        sound = sound / sound.std() * edge * 10 ** (float(rng.uniform(-8, 0)) / 20)
        start = (sum(map(len, pieces)) + gap) / RATE
        onsets.append(start)
        spans.append((start, start + size / RATE))
        pieces += [hiss, sound]
        if rng.random() < 0.1:
            pieces.append(np.zeros(int(rng.uniform(0.1, 0.8) * RATE)))
    pieces.append(np.zeros(int(rng.uniform(0.1, 0.6) * RATE)))
    return Spoken("built", _peaked(np.concatenate(pieces)), tuple(onsets), tuple(spans))
