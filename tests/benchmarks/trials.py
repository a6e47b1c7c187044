"""A hundred lines in which one syllable is leaned on, chosen by lot, and who finds it.

The syllable is any stressed or only syllable of a word, function words included (not the articles,
whose vowel is another when leaned on); its pitch goes up
by 3 to 5 semitones, it gets 1.25 to 1.5 times as long and 3 to 4 dB louder. Two series:
*flat*, where the line's other accents are held back first (a deadpan reading with one lean), and
*as read*, where they stay as recorded and the chosen syllable has to beat them all.
Where a syllable lies is taken from linebeat's own alignment of the untouched line.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from audio.clip import clip_from_samples
from audio.read_voice import read_voice
from audio.reading import VoiceReading
from tests.benchmarks.lean import Move, lean_on, levelled
from tests.benchmarks.material import Line

KEEP = 0.25  # of the other accents, in the flat series
SEED = 20
ARTICLES = ("a", "an", "the")


@dataclass(frozen=True, slots=True)
class Trial:
    """A line, the syllable chosen (index among the dictionary's syllables) and what is done."""

    line: Line
    chosen: int
    word: int
    span_s: tuple[float, float]
    vowel_s: float
    vowels_s: tuple[float, ...]
    move: Move

    def sound(self, *, flat: bool, only: str = "") -> np.ndarray:
        """The line with its syllable moved, by one cue `only` if named ("nothing" moves none)."""
        samples = self.line.samples
        if flat:
            samples = _flat(self.line, self.vowels_s)
        move = {
            "": self.move,
            "pitch": Move(pitch_st=self.move.pitch_st),
            "length": Move(length=self.move.length),
            "level": Move(gain_db=self.move.gain_db),
        }.get(only)
        if move is not None:
            samples = lean_on(samples, self.line.rate_hz, self.span_s, self.vowel_s, move)
        return samples * min(1.0, 0.95 / float(np.max(np.abs(samples))))


_FLAT: dict[str, np.ndarray] = {}


def _flat(line: Line, vowels_s: tuple[float, ...]) -> np.ndarray:
    if line.name not in _FLAT:
        _FLAT[line.name] = levelled(line.samples, line.rate_hz, np.array(vowels_s), keep=KEEP)
    return _FLAT[line.name]


def read(samples: np.ndarray, rate_hz: int, text: str | None) -> VoiceReading:
    """A reading of samples."""
    return read_voice(clip_from_samples(samples.astype(np.float32), rate_hz), text=text)


def draw(lines: Sequence[Line], count: int, seed: int = SEED) -> list[Trial]:
    """Trials over lines in turn, syllable and moves by lot."""
    rng = np.random.default_rng(seed)
    readings = [read(line.samples, line.rate_hz, line.text) for line in lines]
    trials = []
    for number in range(count):
        line, heard = lines[number % len(lines)], readings[number % len(lines)]
        syllables = heard.syllables
        per_word = [s.word for s in syllables]
        open_to = [
            i
            for i, s in enumerate(syllables)
            if (s.lexical_stress == 1 or per_word.count(s.word) == 1)
            and s.word is not None
            and heard.words[s.word].confidence > 0.2
            and s.end_s - s.nucleus_s > 0.05
            and heard.words[s.word].text.lower() not in ARTICLES
        ]
        chosen = int(rng.choice(open_to))
        s = syllables[chosen]
        move = Move(rng.uniform(3.0, 5.0), rng.uniform(1.25, 1.5), rng.uniform(3.0, 4.0))
        vowels = tuple(x.nucleus_s for x in syllables)
        assert s.word is not None
        trials.append(Trial(line, chosen, s.word, (s.start_s, s.end_s), s.nucleus_s, vowels, move))
    return trials


def rank_of(trial: Trial, heard: VoiceReading) -> int:
    """How many syllables of the phrase are more prominent than the chosen one."""
    if heard.words:
        chosen = trial.chosen
    else:
        near = [abs(s.nucleus_s - trial.vowel_s) for s in heard.syllables]
        chosen = int(np.argmin(near))
    phrase = next((p for p in heard.phrases if p.syllables[0] <= chosen <= p.syllables[1]), None)
    first, last = phrase.syllables if phrase else (0, len(heard.syllables) - 1)
    own = heard.syllables[chosen].prominence
    return sum(s.prominence > own for s in heard.syllables[first : last + 1])
