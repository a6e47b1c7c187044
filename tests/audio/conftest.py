"""A small made-up reading for tests that need one but no sound."""

from __future__ import annotations

import numpy as np
import pytest

from audio.reading import (
    Because,
    ClipFacts,
    Glide,
    LoudnessTrack,
    Pause,
    Phone,
    Phrase,
    PitchTrack,
    Speaker,
    Syllable,
    VoiceEvent,
    VoiceReading,
    Word,
    frozen_array,
)


@pytest.fixture
def small_reading() -> VoiceReading:
    """One word of two syllables, every kind of thing once, awkward numbers."""
    hz = frozen_array(np.array([np.nan, 120.1, 1 / 3, np.nan]))
    db = frozen_array(np.array([-80.0, -20.123456789, -21.0, -70.0]))
    return VoiceReading(
        clip=ClipFacts("a.wav", 0.7, 48000, "00"),
        speaker=Speaker(120.1, 100.0, 130.0, 4.2),
        words=(Word("lantern", 0.1, 0.5, (Phone("L", 0.1, 0.2),), 0.9),),
        syllables=(
            Syllable("lan", 0, 0.1, 0.15, 0.3, 1, 0.8, "strong", Because(0.4, 0.1, 0.2, 0.1)),
            Syllable("tern", 0, 0.3, 0.35, 0.5, 0, 0.1, "none"),
        ),
        glides=(Glide(0.15, 0.3, -3.5, "fall", True, (0, 1)),),
        phrases=(Phrase(0.1, 0.5, (0, 0), (0, 1), 0, "fall", -3.5),),
        pauses=(Pause(0.5, 0.7),),
        events=(VoiceEvent("breath", 0.0, 0.1, 0.6),),
        pitch=PitchTrack(0.005, 0.0025, hz, 75.0, 300.0),
        loudness=LoudnessTrack(0.005, 0.0025, db, db),
        warnings=("a remark",),
    )
