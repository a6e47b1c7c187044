"""Speech whose truth is known: espeak-ng says a text and tells when each phoneme began.

`say(text)` gives samples, rate and events. `<emphasis level="strong">` works when `ssml` is set.
Through espeakng-loader (a test extra), which carries the library and its data; called by ctypes.
Phoneme names are espeak-ng's own (Kirshenbaum-like): a vowel is one whose name starts with a vowel
sign. espeak-ng is a formant synthesiser: its times are exact, its voice is not a person's.
"""

from __future__ import annotations

import ctypes
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

SYNCHRONOUS = 2  # espeak_AUDIO_OUTPUT: AUDIO_OUTPUT_SYNCHRONOUS (speak_lib.h)
PHONEME_EVENTS = 1  # espeakINITIALIZE_PHONEME_EVENTS
UTF8, SSML = 1, 0x10  # espeakCHARS_UTF8, espeakSSML
END, WORD, PHONEME = 0, 1, 7  # espeakEVENT_LIST_TERMINATED, _WORD, _PHONEME
RATE, PITCH, RANGE = 1, 3, 4  # espeak_PARAMETER
VOWEL_SIGNS = "aeiouAEIOU@3V0&"


class _Id(ctypes.Union):
    _fields_ = (("number", ctypes.c_int), ("name", ctypes.c_char_p), ("string", ctypes.c_char * 8))


class _Event(ctypes.Structure):
    _fields_ = (
        ("type", ctypes.c_int),
        ("unique_identifier", ctypes.c_uint),
        ("text_position", ctypes.c_int),
        ("length", ctypes.c_int),
        ("audio_position", ctypes.c_int),
        ("sample", ctypes.c_int),
        ("user_data", ctypes.c_void_p),
        ("id", _Id),
    )


_CALLBACK = ctypes.CFUNCTYPE(
    ctypes.c_int, ctypes.POINTER(ctypes.c_short), ctypes.c_int, ctypes.POINTER(_Event)
)


@dataclass(frozen=True, slots=True)
class Phoneme:
    """A phoneme that begins at start_s; word counts from 0."""

    name: str
    start_s: float
    word: int

    @property
    def is_vowel(self) -> bool:
        """Whether a syllable stands on it."""
        return self.name.lstrip("',%=").startswith(tuple(VOWEL_SIGNS))


@dataclass(frozen=True, slots=True)
class Spoken:
    """samples : shape (n,), float64, -1..1; phonemes in order of time."""

    samples: np.ndarray
    rate_hz: int
    phonemes: tuple[Phoneme, ...]

    def vowel_onsets_s(self) -> np.ndarray:
        """Where each vowel begins, seconds."""
        return np.array([p.start_s for p in self.phonemes if p.is_vowel])


@lru_cache(maxsize=1)
def _library() -> tuple[ctypes.CDLL, int]:
    import espeakng_loader

    lib = ctypes.CDLL(str(espeakng_loader.get_library_path()))
    path = str(espeakng_loader.get_data_path()).encode()
    rate = lib.espeak_Initialize(SYNCHRONOUS, 0, path, PHONEME_EVENTS)
    if rate <= 0:
        raise RuntimeError("espeak-ng did not start")
    return lib, rate


def say(
    text: str, *, voice: str = "en-us", words_per_min: int = 150, pitch: int = 50,
    pitch_range: int = 50, ssml: bool = False,
) -> Spoken:  # fmt: skip
    """The text as sound with the true start of each phoneme."""
    lib, rate = _library()
    pieces: list[np.ndarray] = []
    phonemes: list[Phoneme] = []
    word = -1

    def take(wave: ctypes.Array[ctypes.c_short], count: int, events: ctypes.Array[_Event]) -> int:
        nonlocal word
        if count > 0:
            pieces.append(np.ctypeslib.as_array(wave, shape=(count,)).copy())
        at = 0
        while events[at].type != END:
            event = events[at]
            if event.type == WORD:
                word += 1
            elif event.type == PHONEME:
                name = event.id.string.decode("utf-8", "replace")
                phonemes.append(Phoneme(name, event.sample / rate, word))
            at += 1
        return 0

    callback = _CALLBACK(take)
    lib.espeak_SetSynthCallback(callback)
    lib.espeak_SetVoiceByName(voice.encode())
    for parameter, value in ((RATE, words_per_min), (PITCH, pitch), (RANGE, pitch_range)):
        lib.espeak_SetParameter(parameter, value, 0)
    data = text.encode("utf-8") + b"\0"
    flags = UTF8 | (SSML if ssml else 0)
    lib.espeak_Synth(data, len(data), 0, 1, 0, flags, None, None)
    lib.espeak_Synchronize()
    samples = np.concatenate(pieces).astype(np.float64) / 32768 if pieces else np.zeros(0)
    return Spoken(samples, rate, tuple(phonemes))
