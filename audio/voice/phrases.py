"""Pauses, phrases and how each phrase ends.

A pause is a stretch between two sounding stretches in which the voice is silent for 250 ms or more
(Goldman-Eisler 1968); an in-breath inside it belongs to it, a stop's closure is too short for one.
Silence is judged against the clip's own noise floor and speech level. Silence before the first and
after the last sound of the clip is no pause. A phrase is what stands between pauses, or between
marks of the text at which the voice parts (`audio.voice.partings`); its ending is the last movement
of its pitch, in semitones. A phrase may be leaned on twice: then both syllables are named.

Times in seconds, half-open; index pairs inclusive.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np

from audio.reading import (
    Ending,
    LoudnessTrack,
    Pause,
    Phrase,
    PitchTrack,
    Syllable,
    Word,
)
from audio.sound.sounding import Masks, masks_of
from audio.voice.contour import clean_contour, last_movement
from audio.voice.pitch_repair import runs

SHORTEST_PAUSE_S = 0.25  # Goldman-Eisler 1968, an analyst's convention
SHORTEST_CUT_S = 0.2  # closures of stops are shorter (common practice: 50 to 150 ms)
EDGE_S = 0.1  # an aligned boundary is not further off where the word is right
QUIET_SHARE = 0.5  # of the shortest pause must be at the noise's level: the rest may be breath
ENDING_ST = 1.5  # Rietveld & Gussenhoven 1985: smaller differences are not heard as such
ENDING_WINDOW_S = 0.8  # about the last three syllables
AFTER_S = 0.05  # the voice may ring on past the last syllable as marked
FEWEST_VALUES = 6
GAP_S = 0.08  # unvoiced longer than this parts two stretches
LEANED_FROM = 0.6  # probability of a lean
OWN_STRETCH_S = 0.1  # a last stretch this long is a movement of its own


def find_pauses(
    loudness: LoudnessTrack,
    pitch: PitchTrack,
    words: tuple[Word, ...],
    *,
    shortest_s: float = SHORTEST_PAUSE_S,
    masks: Masks | None = None,
) -> tuple[Pause, ...]:
    """Silences between sounding stretches, `shortest_s` or longer.

    masks : where it sounds and where it is quiet, if known already.
    """
    masks = masks or masks_of(loudness, pitch)
    quiet, stretches = masks.quiet, runs(masks.sounding)
    step_s = loudness.step_s
    result = []
    for (_, end), (start, _) in pairwise(stretches):
        pause = Pause(end * step_s, start * step_s)
        if pause.end_s - pause.start_s < shortest_s - 1e-9:
            continue
        if quiet[end:start].sum() * step_s < QUIET_SHARE * shortest_s:
            continue
        if any(w.start_s < pause.start_s - 0.02 and w.end_s > pause.end_s + 0.02 for w in words):
            continue
        result.append(pause)
    return tuple(result)


def words_beside_silence(words: tuple[Word, ...], silences: tuple[Pause, ...]) -> tuple[Word, ...]:
    """Words whose first or last phone was laid across a silence, brought to the sounding side.

    A stop is silent before it bursts, so an aligner may begin it where the voice stopped, a whole
    pause early. silences : as `find_pauses` gives them without words, SHORTEST_CUT_S or longer.
    """
    cut = []
    for laid in words:
        word, phones = laid, list(laid.phones)
        for silence in silences if phones else ():
            first, last = phones[0], phones[-1]
            if silence.start_s < first.start_s + EDGE_S and first.start_s < silence.end_s:
                if silence.end_s < first.end_s:
                    phones[0] = replace(first, start_s=silence.end_s)
            elif last.start_s < silence.start_s < last.end_s < silence.end_s + EDGE_S:
                phones[-1] = replace(last, end_s=silence.start_s)
        if phones != list(word.phones):
            start_s, end_s = phones[0].start_s, phones[-1].end_s
            word = replace(word, start_s=start_s, end_s=end_s, phones=tuple(phones))
        cut.append(word)
    return tuple(cut)


def find_phrases(
    syllables: tuple[Syllable, ...],
    words: tuple[Word, ...],
    pauses: tuple[Pause, ...],
    pitch: PitchTrack,
    partings: tuple[int, ...] = (),
) -> tuple[Phrase, ...]:
    """Phrases, each with its strongest syllable, those leaned on, and its ending.

    partings : syllables that begin a phrase though no pause stands before them.
    """
    groups: list[list[int]] = [[]]
    cuts = [(p.start_s + p.end_s) / 2 for p in pauses]
    at = 0
    for index, syllable in enumerate(syllables):
        if index in partings:
            groups.append([])
        while at < len(cuts) and syllable.nucleus_s >= cuts[at]:
            at += 1
            groups.append([])
        groups[-1].append(index)
    return tuple(_phrase(g, syllables, words, pitch) for g in groups if g)


def _phrase(
    group: list[int], syllables: tuple[Syllable, ...], words: tuple[Word, ...], pitch: PitchTrack
) -> Phrase:
    first, last = group[0], group[-1]
    numbers = [n for n in (syllables[first].word, syllables[last].word) if n is not None]
    start_s, end_s = syllables[first].start_s, syllables[last].end_s
    span = (numbers[0], numbers[-1]) if numbers else None
    if span is not None:
        start_s, end_s = min(start_s, words[span[0]].start_s), max(end_s, words[span[1]].end_s)
    strongest = max(group, key=lambda n: syllables[n].prominence)
    moved = ending_semitones(pitch, syllables[max(first, last - 1)].nucleus_s, end_s)
    ending: Ending = "level" if abs(moved) < ENDING_ST else ("rise" if moved > 0 else "fall")
    leaned = tuple(n for n in group if syllables[n].lean >= LEANED_FROM)
    return Phrase(start_s, end_s, span, (first, last), strongest, ending, moved, leaned)


def ending_semitones(pitch: PitchTrack, start_s: float, end_s: float) -> float:
    """The last movement of the pitch between two times, in semitones (0 where unvoiced).

    Heard in the last ENDING_WINDOW_S at most. What the last voiced stretch does by itself comes
    first; where that holds its pitch, the step to it from what stands before counts.
    """
    times = pitch.times_s()
    inside = (times >= max(start_s, end_s - ENDING_WINDOW_S)) & (times <= end_s + AFTER_S)
    hz = pitch.hz[inside]
    voiced = hz[np.isfinite(hz)]
    if len(voiced) < FEWEST_VALUES:
        return 0.0
    contour = clean_contour(hz, reference_hz=float(np.median(voiced)))
    heard = np.flatnonzero(np.isfinite(contour))
    breaks = np.flatnonzero(np.diff(heard) * pitch.step_s > GAP_S)
    last = heard[breaks[-1] + 1 :] if len(breaks) else heard
    if len(last) * pitch.step_s >= OWN_STRETCH_S:
        moved = last_movement(contour[last])
        if abs(moved) >= ENDING_ST:
            return moved
    return last_movement(contour[heard])
