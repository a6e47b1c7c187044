"""VoiceReading: all that was heard in a clip, frozen, and `read_voice` that hears it.

Conventions: times in seconds from the clip's start, half-open (`end_s` is where the next thing may
begin); pitch in hertz with NaN where no voice is; level in dB re full scale. Indexes count from 0.
`to_json` and `from_json` give the contract of `linebeat read --json` and take it back unchanged.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
Degree = Literal["none", "light", "strong"]
GlideShape = Literal["rise", "fall", "peak", "dip", "level"]
Ending = Literal["fall", "rise", "level"]
EventKind = Literal["breath", "laugh", "sigh"]


def frozen_array(values: FloatArray) -> FloatArray:
    """A float64 copy that cannot be written to."""
    array = np.array(values, dtype=np.float64)
    array.flags.writeable = False
    return array


@dataclass(frozen=True, slots=True)
class ClipFacts:
    """Which sound was read. `sha256` is of the file's bytes (and the part read, if a part)."""

    file: str
    duration_s: float
    sample_rate_hz: int
    sha256: str


@dataclass(frozen=True, slots=True)
class Speaker:
    """The voice's own range in this clip; zeros where nothing is voiced."""

    pitch_median_hz: float
    pitch_low_hz: float
    pitch_high_hz: float
    syllables_per_s: float


@dataclass(frozen=True, slots=True)
class Phone:
    """A phone of the dictionary's alphabet (ARPAbet, stress digit on vowels)."""

    phone: str
    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class Word:
    """A word as written, laid on the sound. `confidence` 0..1: does the sound say this word."""

    text: str
    start_s: float
    end_s: float
    phones: tuple[Phone, ...]
    confidence: float


@dataclass(frozen=True, slots=True)
class Because:
    """What each cue adds to a syllable's prominence, in the model's own units (signed)."""

    pitch: float = 0.0
    loudness: float = 0.0
    length: float = 0.0
    lexicon: float = 0.0


@dataclass(frozen=True, slots=True)
class Delivery:
    """How a syllable is said, whether or not it stands out. Zeros (tempo: ones) where unknown.

    attack_db_per_s : steepest rise of the level into the vowel; under 200 it glides in, over 600
    it is struck (a burst, a hard onset).
    effort_db : level above 500 Hz against below, less what this vowel has by itself, against the
    clip's median; above 0 is pressed or called out, below 0 soft or breathy.
    syllables_per_s : local rate, over up to two syllables to each side, pauses left out.
    tempo : how fast these are said for what they are, against the clip's median; 1.2 is a fifth
    faster.
    ..._change : against the up to three syllables before in the phrase; tempo as a ratio.
    """

    attack_db_per_s: float = 0.0
    effort_db: float = 0.0
    syllables_per_s: float = 0.0
    tempo: float = 1.0
    attack_change_db_per_s: float = 0.0
    effort_change_db: float = 0.0
    tempo_change: float = 1.0


@dataclass(frozen=True, slots=True)
class Syllable:
    """A syllable. `nucleus_s` is the onset of its vowel: what a listener takes for its beat.

    Without a transcript `text`, `word` and `lexical_stress` are None.
    `lexical_stress` is 0 (none), 1 (main) or 2 (secondary). `lean` 0..1: how probably the voice
    leans on it, beyond an ordinary accent.
    """

    text: str | None
    word: int | None
    start_s: float
    nucleus_s: float
    end_s: float
    lexical_stress: int | None = None
    prominence: float = 0.0
    degree: Degree = "none"
    because: Because = field(default_factory=Because)
    delivery: Delivery = field(default_factory=Delivery)
    lean: float = 0.0


@dataclass(frozen=True, slots=True)
class Glide:
    """A movement of the pitch; `audible` when it passes the glissando threshold."""

    start_s: float
    end_s: float
    semitones: float
    shape: GlideShape
    audible: bool
    syllables: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Phrase:
    """A stretch between pauses, or between marks of the text where the voice parts there too.

    `words` and `syllables` are first and last index, inclusive; `words` is None without a
    transcript. `leaned_syllables` : those the voice leans on, in order of time: two where a phrase
    is leaned on twice, none where it is only read.
    """

    start_s: float
    end_s: float
    words: tuple[int, int] | None
    syllables: tuple[int, int]
    strongest_syllable: int
    ending: Ending
    ending_semitones: float
    leaned_syllables: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Pause:
    """A silence between phrases, 250 ms or more unless set otherwise."""

    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class VoiceEvent:
    """A sound of the speaker that is not a word."""

    kind: EventKind
    start_s: float
    end_s: float
    certainty: float


@dataclass(frozen=True, slots=True)
class PitchTrack:
    """Pitch every `step_s`; `hz` shape (n,), NaN where unvoiced. First value at `start_s`.

    `floor_hz` and `ceiling_hz` are the search range found for this speaker.
    """

    step_s: float
    start_s: float
    hz: FloatArray
    floor_hz: float = 50.0
    ceiling_hz: float = 1000.0

    def times_s(self) -> FloatArray:
        """Shape (n,), seconds."""
        return self.start_s + self.step_s * np.arange(len(self.hz), dtype=np.float64)


@dataclass(frozen=True, slots=True)
class LoudnessTrack:
    """Level every `step_s`: `db` of everything, `sonorant_db` of the vowels' band. Shapes (n,)."""

    step_s: float
    start_s: float
    db: FloatArray
    sonorant_db: FloatArray

    def times_s(self) -> FloatArray:
        """Shape (n,), seconds."""
        return self.start_s + self.step_s * np.arange(len(self.db), dtype=np.float64)


@dataclass(frozen=True, slots=True)
class VoiceReading:
    """All that was heard in a clip."""

    clip: ClipFacts
    speaker: Speaker
    words: tuple[Word, ...]
    syllables: tuple[Syllable, ...]
    glides: tuple[Glide, ...]
    phrases: tuple[Phrase, ...]
    pauses: tuple[Pause, ...]
    events: tuple[VoiceEvent, ...]
    pitch: PitchTrack
    loudness: LoudnessTrack
    warnings: tuple[str, ...]
