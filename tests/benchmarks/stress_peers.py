"""Other ways to tell which word is stressed, for the accuracy table.

Each gives a number a word; the highest is taken as leaned on. `dictionary` hears nothing; `loudest`
and `longest` are the plainest cues; `emphases` (PyPI, MIT) is a small neural network trained on
listeners' marks, whose weights travel in its wheel. It needs torch, so it runs only in the
benchmark's own environment (`pip install torch emphases`); elsewhere `emphases_words` gives None.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from types import ModuleType
from unittest.mock import MagicMock

import numpy as np

from audio.reading import VoiceReading, Word
from audio.stress.word_weight import word_weights

RATE_HZ = 16_000  # what emphases was trained on
UNUSED = ("torchaudio", "torchaudio.functional", "torchaudio.transforms", "penn", "torbi",
          "pyfoal", "reseval")  # fmt: skip  # imported by emphases, not used by its mel model


def dictionary(reading: VoiceReading) -> list[float]:
    """Word class alone, the same table as linebeat's; of equal words the last wins."""
    weights = word_weights([w.text for w in reading.words])
    return [weight + 1e-6 * i for i, weight in enumerate(weights)]


def loudest(reading: VoiceReading) -> list[float]:
    """Peak level of each word."""
    times = reading.loudness.times_s()
    return [
        float(np.max(reading.loudness.db[(times >= w.start_s) & (times < w.end_s)], initial=-99.0))
        for w in reading.words
    ]


def longest(reading: VoiceReading) -> list[float]:
    """Length of each word by its number of phones."""
    return [(w.end_s - w.start_s) / max(1, len(w.phones)) for w in reading.words]


def highest(reading: VoiceReading) -> list[float]:
    """Highest pitch of each word."""
    times, hz = reading.pitch.times_s(), np.nan_to_num(reading.pitch.hz)
    return [
        float(np.max(hz[(times >= w.start_s) & (times < w.end_s)], initial=0.0))
        for w in reading.words
    ]


def _emphases() -> ModuleType | None:
    try:
        import torch  # noqa: F401
    except ImportError:
        return None
    for name in UNUSED:
        sys.modules.setdefault(name, MagicMock())
    arguments, sys.argv = sys.argv, sys.argv[:1]  # the package reads the command line
    try:
        import emphases
    except ImportError:
        return None
    finally:
        sys.argv = arguments
    return emphases


def emphases_words(samples: np.ndarray, rate_hz: int, words: Sequence[Word]) -> list[float] | None:
    """Scores of the emphases network on linebeat's word times; None where not installed."""
    package = _emphases()
    if package is None or not words:
        return None
    import pypar
    import torch
    from scipy.signal import resample_poly

    divisor = int(np.gcd(rate_hz, RATE_HZ))
    sound = resample_poly(samples, RATE_HZ // divisor, rate_hz // divisor)
    spans, places, now = [], [], 0.0
    for word in words:
        if word.start_s > now + 0.005:
            spans.append(pypar.Word("sp", [pypar.Phoneme("sp", now, word.start_s)]))
            now = word.start_s
        places.append(len(spans))
        end = max(word.end_s, now + 0.02)
        spans.append(pypar.Word(word.text, [pypar.Phoneme("AH0", now, end)]))
        now = end
    if len(sound) / RATE_HZ > now + 0.01:
        spans.append(pypar.Word("sp", [pypar.Phoneme("sp", now, len(sound) / RATE_HZ)]))
    checkpoint = package.ASSETS_DIR / "checkpoints" / "checkpoint.pt"
    scores = package.from_alignment_and_audio(
        pypar.Alignment(spans), torch.tensor(sound, dtype=torch.float32)[None], RATE_HZ, checkpoint
    )[0]
    return [float(scores[i]) for i in places]
