"""The way in: a clip, and its words if known, become a `VoiceReading`.

Order: level, pitch, words laid on the sound (or syllables from sound alone), pauses, stress,
phrases, glides, events. `read_file` looks the reading up in the store first and touches nothing
heavy when it is there.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from audio.reading import (
    ClipFacts,
    PitchTrack,
    Speaker,
    Syllable,
    VoiceReading,
    Word,
)
from audio.reading_json import settled

if TYPE_CHECKING:
    from threadpoolctl import ThreadpoolController

    from audio.clip import VoiceClip
    from audio.words.pronounce import SpokenWord

ENGLISH = "en"
LOW_PERCENT, HIGH_PERCENT = 5.0, 95.0  # the speaker's range leaves out a tracker's slips


def read_voice(
    clip: VoiceClip,
    *,
    text: str | None = None,
    sounds_like: Mapping[str, str] | None = None,
    language: str = "en",
) -> VoiceReading:
    """All that is heard in a clip.

    text : the words said, or None; sounds_like : word to phones (ARPAbet), for English words no
    dictionary has. language : "en", or another that espeak-ng speaks ("es", "de", "fr", "it"...),
    with the extra `languages`. Times in the result count from the clip's start.
    Raises TranscriptError if `sounds_like` names phones that do not exist, or the language is not
    to be had.
    """
    # The products here are small: more threads cost a third more and gain nothing, and would be
    # in the way of readings running side by side.
    with _threads().limit(limits=1, user_api="blas"):
        return settled(_read(clip, text, sounds_like or {}, language))


@cache
def _threads() -> ThreadpoolController:
    from threadpoolctl import ThreadpoolController

    return ThreadpoolController()


def _read(
    clip: VoiceClip, text: str | None, sounds_like: Mapping[str, str], language: str
) -> VoiceReading:
    from audio.events.find_events import find_events
    from audio.sound.conditions import find_conditions, warnings_of
    from audio.sound.loudness import find_loudness
    from audio.sound.quieten import dithered, quieter
    from audio.sound.sounding import masks_of
    from audio.stress.find_stress import weigh_syllables
    from audio.syllables.find_syllables import syllables_from_sound, syllables_from_words
    from audio.voice.glides import find_glides
    from audio.voice.partings import find_partings
    from audio.voice.phrases import (
        SHORTEST_CUT_S,
        find_pauses,
        find_phrases,
        words_beside_silence,
    )
    from audio.voice.pitch import find_pitch

    loudness = find_loudness(clip)
    quiet = quieter(clip.samples)
    pitch = find_pitch(clip, quiet)
    masks = masks_of(loudness, pitch)
    words: tuple[Word, ...] = ()
    marks: tuple[str, ...] = ()
    warnings = list(clip.warnings)
    if text is not None and text.strip():
        words, spoken, marks, said = _lay_words(
            replace(clip, samples=dithered(quiet)), text, sounds_like, language
        )
        warnings += said
        silences = find_pauses(loudness, pitch, (), shortest_s=SHORTEST_CUT_S, masks=masks)
        words = words_beside_silence(words, silences)
        syllables = syllables_from_words(words, spoken, pitch, loudness)
    else:
        syllables = syllables_from_sound(clip, pitch, loudness)
    warnings += warnings_of(find_conditions(clip, pitch, loudness))
    pauses = find_pauses(loudness, pitch, words, masks=masks)
    partings = find_partings(syllables, words, marks, pauses, pitch)
    syllables = weigh_syllables(syllables, words, pitch, loudness, pauses, clip, language=language)
    return VoiceReading(
        clip=ClipFacts(clip.file, clip.duration_s, clip.sample_rate_hz, clip.sha256),
        speaker=_speaker(pitch, syllables),
        words=words,
        syllables=syllables,
        glides=find_glides(pitch, loudness, syllables, pauses),
        phrases=find_phrases(syllables, words, pauses, pitch, partings),
        pauses=pauses,
        events=find_events(clip, pitch, loudness, words, syllables),
        pitch=pitch,
        loudness=loudness,
        warnings=tuple(dict.fromkeys(warnings)),
    )


def _lay_words(
    clip: VoiceClip, text: str, sounds_like: Mapping[str, str], language: str
) -> tuple[tuple[Word, ...], tuple[SpokenWord, ...], tuple[str, ...], list[str]]:
    """Words laid on the clip, as they were said, the marks after them, and warnings."""
    from audio.alignment.align import align_words
    from audio.words.pronounce import pronounce_text

    if language != ENGLISH:
        from audio.languages.foreign_words import align_foreign, pronounce_foreign

        pronounced, lay = pronounce_foreign(text, language), align_foreign
    else:
        pronounced, lay = pronounce_text(text, sounds_like), align_words
    if not pronounced.words:
        return (), (), (), list(pronounced.warnings)
    alignment = lay(clip, pronounced.words)
    warnings = [*pronounced.warnings, *alignment.warnings]
    # as said: the sound picks among variants
    return alignment.words, alignment.spoken, pronounced.marks, warnings


def _speaker(pitch: PitchTrack, syllables: tuple[Syllable, ...]) -> Speaker:
    voiced = pitch.hz[~np.isnan(pitch.hz)]
    sounding_s = sum(s.end_s - s.start_s for s in syllables)
    tempo = len(syllables) / sounding_s if sounding_s > 0 else 0.0
    if not len(voiced):
        return Speaker(0.0, 0.0, 0.0, tempo)
    low, median, high = np.percentile(voiced, [LOW_PERCENT, 50.0, HIGH_PERCENT])
    return Speaker(float(median), float(low), float(high), tempo)


def read_file(
    path: str | Path,
    *,
    text: str | None = None,
    sounds_like: Mapping[str, str] | None = None,
    part_s: tuple[float, float] | None = None,
    language: str = "en",
) -> VoiceReading:
    """The reading of a sound file, or of a part of it, from the store if it is there.

    Raises ClipError if the file is missing, empty, silent or no sound.
    """
    from audio import store

    settings = {
        "sounds_like": sorted((sounds_like or {}).items()),
        "part_s": part_s,
        "language": language,
    }
    try:
        key = store.key_of(store.sound_digest(path), text, settings)
    except (OSError, ValueError):
        key = ""  # load_clip below says what is wrong with the file
    kept = store.find(key) if key else None
    if kept is not None:
        return replace(kept, clip=replace(kept.clip, file=str(path)))
    from audio.clip import load_clip

    start_s, end_s = part_s or (None, None)
    clip = load_clip(path, start_s=start_s, end_s=end_s)
    reading = read_voice(clip, text=text, sounds_like=sounds_like, language=language)
    if key:
        store.keep(key, reading)
    return reading
