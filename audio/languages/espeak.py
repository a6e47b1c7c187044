"""Espeak-ng, for languages other than English: what it would say, and when it says each phone.

The library and its data come with the extra `languages` (the package espeakng-loader). One call at
a time: the library keeps state of its own. Samples are float32 at the library's rate (22 050 Hz).
Phones are IPA, a vowel that bears stress with its mark before it (ˈ main, ˌ secondary).
"""

from __future__ import annotations

import ctypes
import threading
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from audio.errors import TranscriptError

_LOCK = threading.Lock()
_SYNCHRONOUS = 2  # espeak_AUDIO_OUTPUT: samples go to the callback, the call returns when done
_PHONEME_EVENTS_IN_IPA = 0x0003
_UTF8 = 1
_EVENT_WORD, _EVENT_PHONEME = 1, 7
_WORDS_A_MINUTE = 150
_PARAMETER_RATE = 1


class _Name(ctypes.Union):
    _fields_ = [("number", ctypes.c_int), ("string", ctypes.c_char * 8)]


class _Event(ctypes.Structure):
    _fields_ = [
        ("type", ctypes.c_int), ("unique", ctypes.c_uint), ("text_position", ctypes.c_int),
        ("length", ctypes.c_int), ("audio_position", ctypes.c_int), ("sample", ctypes.c_int),
        ("user_data", ctypes.c_void_p), ("id", _Name),
    ]  # fmt: skip


_CALLBACK = ctypes.CFUNCTYPE(
    ctypes.c_int, ctypes.POINTER(ctypes.c_short), ctypes.c_int, ctypes.POINTER(_Event)
)


@dataclass(frozen=True, slots=True)
class SpokenPhone:
    """A phone, when it begins and ends in the synthetic speech, and the letter its word begins at.

    letter : index into the text, counted from 0. A pause has an empty name.
    """

    phone: str
    start_s: float
    end_s: float
    letter: int


@dataclass(frozen=True, slots=True)
class Synthetic:
    """Synthetic speech with its phones."""

    samples: NDArray[np.float32]
    rate_hz: int
    phones: tuple[SpokenPhone, ...]


@cache
def _library() -> tuple[Any, int]:
    """The library, started, and its sample rate."""
    try:
        import espeakng_loader
    except ImportError as missing:
        raise TranscriptError(
            "languages other than English need the extra `languages`",
            mend='pip install "linebeat[languages]"',
        ) from missing
    library = ctypes.CDLL(str(espeakng_loader.get_library_path()))
    data = str(espeakng_loader.get_data_path()).encode()
    rate = library.espeak_Initialize(_SYNCHRONOUS, 0, data, _PHONEME_EVENTS_IN_IPA)
    return library, int(rate)


def synthesise(text: str, voice: str, *, words_a_minute: int = _WORDS_A_MINUTE) -> Synthetic:
    """Text spoken by a voice of espeak-ng ("es", "fr-fr", "de", "it+f2"...).

    Raises TranscriptError if the extra is missing or the voice unknown.
    """
    library, rate_hz = _library()
    blocks: list[NDArray[np.int16]] = []
    events: list[tuple[int, int, str, int]] = []

    def receive(samples: Any, count: int, event: Any) -> int:
        if samples and count > 0:
            blocks.append(np.ctypeslib.as_array(samples, (count,)).copy())
        i = 0
        while event[i].type != 0:
            if event[i].type in (_EVENT_WORD, _EVENT_PHONEME):
                name = bytes(event[i].id.string).decode("utf-8", "ignore")
                events.append((event[i].type, event[i].sample, name, event[i].text_position))
            i += 1
        return 0

    callback = _CALLBACK(receive)
    with _LOCK:
        if library.espeak_SetVoiceByName(voice.encode()) != 0:
            raise TranscriptError(
                f'espeak-ng knows no language "{voice}"', mend="try es, fr, de, it"
            )
        library.espeak_SetParameter(_PARAMETER_RATE, words_a_minute, 0)
        library.espeak_SetSynthCallback(callback)
        data = text.encode("utf-8")
        library.espeak_Synth(data, len(data) + 1, 0, 0, 0, _UTF8, None, None)
        library.espeak_Synchronize()
    whole = np.concatenate(blocks) if blocks else np.zeros(0, dtype=np.int16)
    samples = (whole / np.float32(32768)).astype(np.float32)
    return Synthetic(samples, rate_hz, _timed(events, len(samples), rate_hz))


def _timed(
    events: list[tuple[int, int, str, int]], length: int, rate_hz: int
) -> tuple[SpokenPhone, ...]:
    """Phones with their ends, and the word each belongs to."""
    phones: list[tuple[str, int, int]] = []
    letter = 0
    for kind, sample, name, position in events:
        if kind == _EVENT_WORD:
            letter = position - 1
        else:
            phones.append((name, sample, letter))
    ends = [sample for _, sample, _ in phones[1:]] + [length]
    return tuple(
        SpokenPhone(name, start / rate_hz, max(end, start) / rate_hz, letter)
        for (name, start, letter), end in zip(phones, ends, strict=True)
    )
