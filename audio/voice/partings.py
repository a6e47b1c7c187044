"""Where a phrase ends without a pause: at a mark of the text, if the voice parts there too.

People often run sentences together; then the text's marks say where a thought may end and the voice
says whether it does: by a gap, by a drawn-out last syllable (Klatt 1976: up to twice as long), by a
last movement of the pitch, or by beginning anew higher up (declination reset: 't Hart, Collier &
Cohen 1990). One such sign is enough at the end of a sentence; at a comma, which writing puts where
speaking does not, two are asked for. The bounds are ours (common practice where nothing is named).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from audio.reading import Pause, PitchTrack, Syllable, Word
from audio.stress.expected_length import length_ratios
from audio.voice.phrases import AFTER_S, ending_semitones

GAP_S = 0.06  # silence between the words; a stop's closure alone is as long, so not at a comma
CLEAR_GAP_S = 0.12
DRAWN_LOG = 0.35  # log of times longer than its phones want, against the line's median: 1.4
MOVED_ST = 2.0  # semitones of last movement; 1.5 are just heard (Rietveld & Gussenhoven 1985)
RESET_ST = 2.0  # semitones by which the next word begins higher
RESET_WINDOW_S = 0.12
LEAST_SYLLABLES = 2  # on both sides of a comma that parts
SIGNS = {".": 1, ",": 2}  # signs of the voice asked for


def find_partings(
    syllables: Sequence[Syllable],
    words: Sequence[Word],
    marks: Sequence[str],
    pauses: Sequence[Pause],
    pitch: PitchTrack,
) -> tuple[int, ...]:
    """Syllables (indexes) that begin a phrase though no pause stands before them, in order.

    marks : for each word "." where a sentence ends after it, "," where a part of one does, else "".
    """
    if len(marks) != len(words):
        return ()
    whole, _ = length_ratios(syllables, words, [(0, len(syllables) - 1)] if syllables else [])
    drawn = whole - (np.median(whole) if len(whole) else 0.0)
    found: list[int] = []
    for i in range(len(syllables) - 1):
        here, there = syllables[i], syllables[i + 1]
        if here.word is None or here.word == there.word or not (mark := marks[here.word]):
            continue
        begun = found[-1] if found else 0
        short = min(i + 1 - begun, len(syllables) - i - 1) < LEAST_SYLLABLES
        paused = any(here.nucleus_s < (p.start_s + p.end_s) / 2 < there.nucleus_s for p in pauses)
        if paused or (mark == "," and short):
            continue
        before_s = syllables[max(begun, i - 1)].nucleus_s
        if _signs(before_s, here, there, float(drawn[i]), pitch) >= SIGNS[mark]:
            found.append(i + 1)
    return tuple(found)


def _signs(
    before_s: float, here: Syllable, there: Syllable, drawn: float, pitch: PitchTrack
) -> int:
    """How much the voice does between two syllables that it does not do within a phrase."""
    gap_s = there.start_s - here.end_s
    before_seam_s = here.end_s - AFTER_S  # what follows is not yet part of the ending
    moved = abs(ending_semitones(pitch, before_s, before_seam_s)) >= MOVED_ST
    signs = (gap_s >= GAP_S) + (gap_s >= CLEAR_GAP_S) + (drawn >= DRAWN_LOG) + moved
    return int(signs) + (reset_semitones(pitch, here.end_s, there.nucleus_s) >= RESET_ST)


def reset_semitones(pitch: PitchTrack, end_s: float, start_s: float) -> float:
    """How much higher the voice begins after a seam than it stood before it (0 if unvoiced)."""
    times = pitch.times_s()
    before = pitch.hz[(times >= end_s - RESET_WINDOW_S) & (times < end_s)]
    after = pitch.hz[(times >= start_s) & (times < start_s + RESET_WINDOW_S)]
    before, after = before[np.isfinite(before)], after[np.isfinite(after)]
    if len(before) < 3 or len(after) < 3:
        return 0.0
    return float(12.0 * np.log2(np.median(after) / np.median(before)))
