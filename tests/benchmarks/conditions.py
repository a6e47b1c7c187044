"""How often each warning is given where it should be, and where it should not.

    python -m tests.benchmarks.conditions [--values]

Speech: the LibriVox clips, the ARCTIC sentence, the demo lines, and festival's slt where installed;
put into noise (10 dB), rooms (exponentially dying noise of a given reverberation time), behind
chords at 15 dB, through 300-3400 Hz, onto steady notes (overlap-add), whispered (the voice's
spectrum on noise), and together with another voice as loud.
"""

from __future__ import annotations

import sys
import warnings

import numpy as np
from scipy.signal import butter, fftconvolve, lfilter, sosfilt

from audio.clip import VoiceClip, clip_from_samples
from audio.sound.conditions import Conditions, find_conditions, warnings_of
from audio.sound.loudness import find_loudness
from audio.voice.pitch import find_pitch
from tests.benchmarks.lean import FLOOR_HZ, with_noise
from tests.benchmarks.material import SENTENCES, Line, arctic, demo, librivox
from tests.benchmarks.word_edges import by_festival
from tests.references.conftest import fetch_source

MARKS = {
    "noise": ("noise",), "room": ("room rings",), "music": ("music",), "phone": ("telephone",),
    "sung": ("sung",), "whisper": ("whispered",), "two": ("two people",),
}  # fmt: skip
Sound = np.ndarray


def room(sound: Sound, rate: int, reverberation_s: float, rng: np.random.Generator) -> Sound:
    """The sound in a room: direct sound and a tail as strong that dies 60 dB in that time."""
    times = np.arange(round(1.2 * reverberation_s * rate)) / rate
    tail = rng.standard_normal(len(times)) * 10 ** (-3 * times / reverberation_s)
    answer = tail / np.sqrt(np.sum(tail**2))
    answer[0] += 1.0
    return fftconvolve(sound, answer)


def chords(sound: Sound, rate: int, rng: np.random.Generator, below_db: float = 15.0) -> Sound:
    """Chords of four notes, a new one every 0.6 s, under the sound."""
    times = np.arange(len(sound)) / rate
    music = np.zeros(len(sound))
    for start in np.arange(0, times[-1], 0.6):
        part = (times >= start) & (times < start + 0.6)
        for step in rng.choice(24, 4, replace=False):
            hz = 130.0 * 2 ** (step / 12)
            for n in range(1, 5):
                music[part] += np.sin(2 * np.pi * n * hz * times[part]) / n
    return sound + music * np.std(sound) / np.std(music) * 10 ** (-below_db / 20)


def on_notes(sound: Sound, rate: int) -> Sound:
    """The pitch moved to steady notes of a scale, a note about every 0.3 s (overlap-add)."""
    import parselmouth
    from parselmouth.praat import call

    source = parselmouth.Sound(sound, rate)
    work = call(source, "To Manipulation", 0.005, FLOOR_HZ, 500.0)
    tier = call(work, "Extract pitch tier")
    flat = call("Create PitchTier", "notes", 0.0, source.duration)
    base = 0.0
    for number, start in enumerate(np.arange(0, source.duration, 0.3)):
        hz = call(tier, "Get value at time", start + 0.15)
        base = base or hz
        note = base * 2 ** (2 * round(6 * np.log2(hz / base)) / 12 + (number % 2) / 6)
        call(flat, "Add point", start + 0.01, note)
        call(flat, "Add point", start + 0.29, note)
    call([flat, work], "Replace pitch tier")
    return np.asarray(call(work, "Get resynthesis (overlap-add)").values[0])


def whispered(sound: Sound, rate: int, rng: np.random.Generator) -> Sound:
    """The voice's spectral envelope (linear prediction, order 18, 20 ms) driven by noise."""
    size = round(0.02 * rate)
    out = np.zeros(len(sound) + 2 * size)
    for start in range(0, len(sound) - 2 * size, size):
        frame = sound[start : start + 2 * size] * np.hanning(2 * size)
        lags = np.correlate(frame, frame, "full")[2 * size - 1 :][:19]
        if lags[0] < 1e-9:
            continue
        matrix = np.array([[lags[abs(i - j)] for j in range(18)] for i in range(18)])
        weights = np.linalg.solve(matrix + 1e-6 * lags[0] * np.eye(18), lags[1:])
        made = lfilter([1.0], [1.0, *-weights], rng.standard_normal(2 * size))
        made *= np.sqrt(np.mean(frame**2) / np.mean(made**2))
        out[start : start + 2 * size] += made * np.hanning(2 * size)
    return out[: len(sound)]


def cases(lines: list[Line]) -> dict[str, list[VoiceClip]]:
    """Every clip as it is and in every trouble."""
    rng = np.random.default_rng(5)
    out: dict[str, list[VoiceClip]] = {}
    for n, line in enumerate(lines):
        sound, rate = line.samples / np.std(line.samples) * 0.05, line.rate_hz
        other = lines[(n + len(lines) // 2) % len(lines)]
        second = clip_from_samples(other.samples, other.rate_hz).samples
        mine = clip_from_samples(sound, rate).samples
        size = min(len(mine), len(second))
        two = mine[:size] / np.std(mine[:size]) + second[:size] / np.std(second[:size])
        phone = sosfilt(butter(6, [300, 3400], "bandpass", fs=rate, output="sos"), sound)
        made = {
            "as it is": sound, "noise": with_noise(sound, 10.0, n),
            "room 0.3 s": room(sound, rate, 0.3, rng), "room": room(sound, rate, 1.0, rng),
            "music": chords(sound, rate, rng), "phone": phone, "sung": on_notes(sound, rate),
            "whisper": whispered(sound, rate, rng),
        }  # fmt: skip
        for name, samples in made.items():
            part = 0.2 * samples / np.max(np.abs(samples))
            out.setdefault(name, []).append(clip_from_samples(part, rate))
        out.setdefault("two", []).append(clip_from_samples(0.05 * two, 16000))
    return out


def conditions(clip: VoiceClip) -> Conditions:
    """What is measured on a clip."""
    return find_conditions(clip, find_pitch(clip), find_loudness(clip))


def main() -> None:
    """Print how often each warning is given in each case, in percent."""
    warnings.simplefilter("ignore")
    lines = [*librivox(fetch_source), arctic(fetch_source), *demo()]
    lines += by_festival("slt", SENTENCES[:8])
    print(f"| {len(lines)} clips, % named | {' | '.join(MARKS)} |")
    print("|" + "---|" * (len(MARKS) + 1))
    for name, clips in cases(lines).items():
        found = [conditions(clip) for clip in clips]
        said = [" ".join(warnings_of(f)) for f in found]
        share = [100 * np.mean([any(m in s for m in marks) for s in said])
                 for marks in MARKS.values()]  # fmt: skip
        print(f"| {name} | {' | '.join(f'{value:.0f}' for value in share)} |", flush=True)
        if "--values" in sys.argv:
            for field in Conditions.__dataclass_fields__:
                values = np.array([getattr(f, field) for f in found], dtype=float)
                q = (
                    np.nanpercentile(values, (0, 10, 50, 90, 100))
                    if np.isfinite(values).any()
                    else []
                )
                print(f"    {field}: {np.round(q, 2)}")


if __name__ == "__main__":
    main()
