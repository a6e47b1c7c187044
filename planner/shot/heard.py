"""The user's ear overrules ours: `heard:` of a line laid over what was read.

Conventions: words count from 1 in `Heard` and from 0 in a reading; `words_s` is clip time in
seconds. A word heard as stressed bears a strong stress on its main syllable; a word heard as
unstressed bears none. A word given its own time takes its phones and syllables along in
proportion. Pitch, loudness, glides and pauses stay as measured.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from audio.errors import SceneError
from audio.reading import Phrase, Syllable, VoiceReading, Word
from planner.scene import Heard

HEARD_PROMINENCE = 1.0  # share; what the user hears counts as the line's most prominent


def apply_heard(reading: VoiceReading, heard: Heard, *, where: str = "") -> VoiceReading:
    """The reading as the user hears it.

    Raises SceneError, placed at `where`, for a word the line does not have.
    """
    if not (heard.stress or heard.unstress or heard.words_s):
        return reading
    for number in (*heard.stress, *heard.unstress, *heard.words_s):
        if not 1 <= number <= len(reading.words):
            raise SceneError(
                f"heard names word {number}, the line has {len(reading.words)}",
                where=where, mend="count its words from 1",
            )  # fmt: skip
    words, syllables = _retimed(reading, heard)
    syllables = _restressed(syllables, heard)
    return replace(
        reading, words=words, syllables=syllables,
        phrases=_reweighed(reading.phrases, syllables, heard),
    )  # fmt: skip


def _retimed(reading: VoiceReading, heard: Heard) -> tuple[tuple[Word, ...], tuple[Syllable, ...]]:
    words = list(reading.words)
    syllables = list(reading.syllables)
    for number, (start_s, end_s) in heard.words_s.items():
        old = words[number - 1]
        scale = (end_s - start_s) / max(old.end_s - old.start_s, 1e-6)

        def moved(time_s: float, old: Word = old, scale: float = scale,
                  start_s: float = start_s) -> float:  # fmt: skip
            return start_s + (time_s - old.start_s) * scale

        words[number - 1] = replace(
            old, start_s=start_s, end_s=end_s,
            phones=tuple(
                replace(p, start_s=moved(p.start_s), end_s=moved(p.end_s)) for p in old.phones
            ),
        )  # fmt: skip
        for i, syllable in enumerate(syllables):
            if syllable.word == number - 1:
                syllables[i] = replace(
                    syllable, start_s=moved(syllable.start_s),
                    nucleus_s=moved(syllable.nucleus_s), end_s=moved(syllable.end_s),
                )  # fmt: skip
    return tuple(words), tuple(syllables)


def main_syllable(syllables: Iterable[tuple[int, Syllable]], word: int) -> int | None:
    """Index of the syllable that bears a word's stress: the dictionary's, else the heaviest."""
    own = [(i, s) for i, s in syllables if s.word == word]
    if not own:
        return None
    return max(own, key=lambda pair: (pair[1].lexical_stress == 1, pair[1].prominence))[0]


def _restressed(syllables: tuple[Syllable, ...], heard: Heard) -> tuple[Syllable, ...]:
    changed = list(syllables)
    for number in heard.unstress:
        for i, syllable in enumerate(changed):
            if syllable.word == number - 1:
                changed[i] = replace(
                    syllable, degree="none", prominence=min(syllable.prominence, 0.1)
                )
    for number in heard.stress:
        i_main = main_syllable(enumerate(changed), number - 1)
        if i_main is not None:
            changed[i_main] = replace(changed[i_main], degree="strong", prominence=HEARD_PROMINENCE)
    return tuple(changed)


def _reweighed(
    phrases: tuple[Phrase, ...], syllables: tuple[Syllable, ...], heard: Heard
) -> tuple[Phrase, ...]:
    """Each phrase's strongest syllable, found again; a word heard as stressed comes first."""
    named = {number - 1 for number in heard.stress}

    def weight(i: int) -> tuple[bool, float]:
        return (syllables[i].word in named, syllables[i].prominence)

    return tuple(
        replace(p, strongest_syllable=max(range(p.syllables[0], p.syllables[1] + 1), key=weight))
        if p.syllables[1] >= p.syllables[0]
        else p
        for p in phrases
    )
