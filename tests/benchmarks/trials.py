"""A hundred lines in which one syllable is leaned on, chosen by lot, and who finds it.

The syllable is any stressed or only syllable of a word, function words included (not the articles,
whose vowel is another when leaned on); its pitch goes up
by 3 to 5 semitones, it gets 1.25 to 1.5 times as long and 3 to 4 dB louder. Three series:
*flat*, where the line's other accents are held back first, in pitch, level and length (a deadpan
reading with one lean); *as read*, where they stay as recorded, so that a moved syllable that was
low and short may still be weaker than they are; and *over all*, where they stay as recorded and
the chosen syllable is brought that far above the highest, loudest and longest of its phrase (by
12 semitones, 12 dB and 3 times its length at most), so that it is the strongest beyond doubt.
Where a syllable lies is taken from linebeat's own alignment of the untouched line.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np

from audio.clip import clip_from_samples
from audio.read_voice import read_voice
from audio.reading import VoiceReading
from audio.stress.expected_length import length_ratios
from tests.benchmarks.lean import (
    Move,
    Stretch,
    after_stretches,
    even_lengths,
    lean_on,
    levelled,
)
from tests.benchmarks.material import Line

KEEP = 0.25  # of the other accents, in the flat series
MOST = Move(12.0, 3.0, 12.0)  # in the series over all: further the voice would break
SEED = 60  # the draw of the table in DEVELOPERS.md
ARTICLES = ("a", "an", "the")


Series = Literal["flat", "as read", "over all"]
SERIES: tuple[Series, ...] = get_args(Series)


@dataclass(frozen=True, slots=True)
class Trial:
    """A line, the syllable chosen (index among the dictionary's syllables) and what is done.

    under : what brings the chosen syllable level with the highest, loudest and longest other
    syllable of its phrase as read.
    """

    line: Line
    chosen: int
    word: int
    span_s: tuple[float, float]
    vowel_s: float
    vowels_s: tuple[float, ...]
    move: Move
    under: Move
    stretches: tuple[Stretch, ...]

    def sound(self, series: Series, only: str = "") -> np.ndarray:
        """The line with its syllable moved, by one cue `only` if named ("nothing" moves none)."""
        samples, span_s, most = self.line.samples, self.span_s, self.move
        if series == "flat":
            samples = _flat(self.line, self.vowels_s, self.stretches)
            span_s = (self._flat_s(span_s[0]), self._flat_s(span_s[1]))
        elif series == "over all":
            most = Move(
                min(most.pitch_st + self.under.pitch_st, MOST.pitch_st),
                min(most.length * self.under.length, MOST.length),
                min(most.gain_db + self.under.gain_db, MOST.gain_db),
            )
        move = {
            "": most,
            "pitch": Move(pitch_st=most.pitch_st),
            "length": Move(length=most.length),
            "level": Move(gain_db=most.gain_db),
        }.get(only)
        if move is not None:
            samples = lean_on(samples, self.line.rate_hz, span_s, self.vowel_in_s(series), move)
        return samples * min(1.0, 0.95 / float(np.max(np.abs(samples))))

    def vowel_in_s(self, series: Series) -> float:
        """Where the chosen vowel begins in the sound of a series."""
        return self._flat_s(self.vowel_s) if series == "flat" else self.vowel_s

    def _flat_s(self, at_s: float) -> float:
        return after_stretches(at_s, self.stretches)


_FLAT: dict[str, np.ndarray] = {}


def _flat(line: Line, vowels_s: tuple[float, ...], stretches: tuple[Stretch, ...]) -> np.ndarray:
    if line.name not in _FLAT:
        _FLAT[line.name] = levelled(
            line.samples, line.rate_hz, np.array(vowels_s), keep=KEEP, stretches=stretches
        )
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
        lengths, _ = length_ratios(syllables, heard.words, [p.syllables for p in heard.phrases])
        spans = [(x.start_s, x.end_s) for x in syllables]
        assert s.word is not None
        trials.append(
            Trial(
                line, chosen, s.word, (s.start_s, s.end_s), s.nucleus_s, vowels, move,
                _under(heard, chosen, lengths), tuple(even_lengths(spans, lengths, keep=KEEP)),
            )
        )  # fmt: skip
    return trials


def _under(heard: VoiceReading, chosen: int, lengths_log: np.ndarray) -> Move:
    """From the chosen syllable up to the highest, loudest and longest other one of its phrase."""
    phrase = next((p for p in heard.phrases if p.syllables[0] <= chosen <= p.syllables[1]), None)
    first, last = phrase.syllables if phrase else (0, len(heard.syllables) - 1)
    times, levels_s = heard.pitch.times_s(), heard.loudness.times_s()
    cues = np.full((last - first + 1, 3), np.nan)
    for row, index in enumerate(range(first, last + 1)):
        syllable = heard.syllables[index]
        voiced = (times >= syllable.nucleus_s) & (times < syllable.end_s)
        voiced &= np.isfinite(heard.pitch.hz)
        inside = (levels_s >= syllable.nucleus_s) & (levels_s < syllable.end_s)
        if voiced.any():
            cues[row, 0] = 12 * np.log2(np.median(heard.pitch.hz[voiced]))
        if inside.any():
            cues[row, 1] = np.max(heard.loudness.db[inside])
        cues[row, 2] = lengths_log[index]
    others = np.delete(cues, chosen - first, axis=0)
    if not len(others):
        return Move()
    own = np.where(np.isfinite(cues[chosen - first]), cues[chosen - first], np.inf)
    others = np.where(np.isfinite(others), others, -np.inf)
    st, db, log = np.maximum(0.0, np.max(others, axis=0) - own)
    return Move(float(st), float(np.exp(log)), float(db))


def rank_of(trial: Trial, heard: VoiceReading, series: Series) -> int:
    """How many syllables of the phrase are more prominent than the chosen one."""
    if heard.words:
        chosen = trial.chosen
    else:
        near = [abs(s.nucleus_s - trial.vowel_in_s(series)) for s in heard.syllables]
        chosen = int(np.argmin(near))
    phrase = next((p for p in heard.phrases if p.syllables[0] <= chosen <= p.syllables[1]), None)
    first, last = phrase.syllables if phrase else (0, len(heard.syllables) - 1)
    own = heard.syllables[chosen].prominence
    return sum(s.prominence > own for s in heard.syllables[first : last + 1])
