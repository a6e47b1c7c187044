"""The bundled sounds are what the scenes and tests/data/demo_truth.yaml say they are.

Pitch and intensity are measured by Praat (parselmouth), words are heard by pocketsphinx: neither is
our code. demo_truth.yaml was written while the sounds were made.
"""

from __future__ import annotations

import itertools
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
import yaml

TRUTH = yaml.safe_load(
    (Path(__file__).parents[1] / "data" / "demo_truth.yaml").read_text(encoding="utf-8")
)
MEGABYTE = 1024 * 1024


def phrases_of(words: list[dict[str, Any]]) -> list[list[int]]:
    """Numbers of the words between two gaps of at least 0.1 s; the first word is 1."""
    groups = [[1]]
    for number, (before, word) in enumerate(itertools.pairwise(words), start=2):
        if word["start_s"] - before["end_s"] >= 0.1:
            groups.append([])
        groups[-1].append(number)
    return groups


def highest_and_loudest(path: Path, words: list[dict[str, Any]]) -> list[tuple[float, float]]:
    """A word's highest pitch (Hz) and greatest intensity (dB), as Praat measures them."""
    import parselmouth

    sound = parselmouth.Sound(str(path))
    pitch = sound.to_pitch_ac(time_step=0.005, pitch_floor=75.0, pitch_ceiling=400.0)
    intensity = sound.to_intensity(100.0, 0.005)
    hz, level = pitch.selected_array["frequency"], intensity.values[0]
    measured = []
    for word in words:
        in_pitch = (pitch.xs() >= word["start_s"]) & (pitch.xs() < word["end_s"])
        in_level = (intensity.xs() >= word["start_s"]) & (intensity.xs() < word["end_s"])
        measured.append((float(hz[in_pitch].max()), float(level[in_level].max())))
    return measured


def scenes(demo_scenes: Path) -> dict[str, dict[str, Any]]:
    return {
        path.parent.name: yaml.load(path.read_text(encoding="utf-8"), yaml.BaseLoader)
        for path in demo_scenes.glob("*/scene.yaml")
    }


def test_all_sounds_together_stay_under_two_megabytes(demo_scenes: Path) -> None:
    sizes = [path.stat().st_size for path in demo_scenes.glob("*/*.flac")]

    assert len(sizes) == len(TRUTH)
    assert sum(sizes) < 2 * MEGABYTE


@pytest.mark.parametrize("name", TRUTH)
def test_sound_is_mono_unclipped_and_never_digital_silence(name: str, demo_scenes: Path) -> None:
    path = demo_scenes / f"{name}.flac"
    sound, rate_hz = soundfile.read(path)
    edge = sound[: rate_hz // 10]

    assert soundfile.info(path).subtype == "PCM_16"
    assert sound.ndim == 1
    assert 20 * np.log10(np.abs(sound).max()) == pytest.approx(-3.0, abs=0.1)
    assert 20 * np.log10(np.sqrt(np.mean(edge**2))) == pytest.approx(-60.0, abs=1.5)


@pytest.mark.parametrize("name", [name for name, truth in TRUTH.items() if truth["leans"]])
def test_leaned_on_word_is_the_highest_and_loudest_of_its_phrase(
    name: str, demo_scenes: Path
) -> None:
    truth = TRUTH[name]
    measured = highest_and_loudest(demo_scenes / f"{name}.flac", truth["words"])
    for lean in truth["leans"]:
        phrase = next(p for p in phrases_of(truth["words"]) if lean["word"] in p)
        others = [measured[number - 1] for number in phrase if number != lean["word"]]
        own_hz, own_db = measured[lean["word"] - 1]

        assert all(own_hz > hz for hz, _ in others), lean
        assert all(own_db > db for _, db in others), lean


def test_every_line_says_what_was_spoken(demo_scenes: Path) -> None:
    said = {
        f"{folder}/{line['sound'].removesuffix('.flac')}": re.findall(
            r"[a-z']+", line["say"].lower()
        )
        for folder, scene in scenes(demo_scenes).items()
        for line in scene["lines"]
    }

    assert said == {name: [w["text"] for w in truth["words"]] for name, truth in TRUTH.items()}


def test_a_recogniser_understands_nine_words_in_ten(demo_scenes: Path) -> None:
    """Words in the right order, found by difflib; the recogniser knows nothing of the text."""
    from difflib import SequenceMatcher

    from pocketsphinx import Decoder
    from scipy.signal import resample_poly

    decoder, spoken, understood = Decoder(loglevel="FATAL"), 0, 0
    for name, truth in TRUTH.items():
        sound, rate_hz = soundfile.read(demo_scenes / f"{name}.flac")
        at_16k = resample_poly(sound, 16000, rate_hz)
        decoder.start_utt()
        decoder.process_raw((at_16k * 32767).astype("<i2").tobytes(), full_utt=True)
        decoder.end_utt()
        words = [word["text"] for word in truth["words"]]
        heard = decoder.hyp().hypstr.split()
        blocks = SequenceMatcher(None, words, heard, autojunk=False).get_matching_blocks()
        understood += sum(block.size for block in blocks)
        spoken += len(words)

    assert understood / spoken >= 0.9


def test_one_line_of_the_umbrella_scene_cuts_into_another(demo_scenes: Path) -> None:
    scene = scenes(demo_scenes)["lost_umbrella"]
    speech = []
    for line in scene["lines"]:
        words = TRUTH[f"lost_umbrella/{line['sound'].removesuffix('.flac')}"]["words"]
        at_s = (int(line["at"]) - 1001) / 24
        speech.append((at_s + words[0]["start_s"], at_s + words[-1]["end_s"]))
    cuts = [
        number
        for number, ((_, before_ends), (begins, _)) in enumerate(itertools.pairwise(speech), 2)
        if begins < before_ends
    ]

    assert cuts == [4]
