"""The JSON of a reading: the contract's keys, and the store's exact form."""

from __future__ import annotations

import json
from dataclasses import fields
from typing import Any

import numpy as np

from audio.reading import VoiceReading
from audio.reading_json import pack, to_json, unpack

CONTRACT = {
    "clip": {"file", "duration_s", "sample_rate_hz", "sha256"},
    "speaker": {"pitch_median_hz", "pitch_low_hz", "pitch_high_hz", "syllables_per_s"},
    "pitch": {"step_s", "start_s", "hz"},
    "loudness": {"step_s", "start_s", "db"},
}
CONTRACT_LISTS = {
    "words": {"text", "start_s", "end_s", "phones", "confidence"},
    "syllables": {
        "text", "word", "start_s", "nucleus_s", "end_s", "lexical_stress", "prominence",
        "degree", "because",
    },
    "glides": {"start_s", "end_s", "semitones", "shape", "audible", "syllables"},
    "phrases": {"start_s", "end_s", "words", "strongest_syllable", "ending", "ending_semitones"},
    "pauses": {"start_s", "end_s"},
    "events": {"kind", "start_s", "end_s", "certainty"},
}  # fmt: skip


def same(a: Any, b: Any) -> bool:
    """Equal, NaN equal to NaN, arrays bit for bit."""
    if isinstance(a, np.ndarray):
        return a.tobytes() == b.tobytes()
    if hasattr(a, "__dataclass_fields__"):
        return all(same(getattr(a, f.name), getattr(b, f.name)) for f in fields(a))
    if isinstance(a, tuple):
        return len(a) == len(b) and all(same(x, y) for x, y in zip(a, b, strict=True))
    return bool(a == b)


def test_contract_keys_are_all_there(small_reading: VoiceReading) -> None:
    data = to_json(small_reading)

    assert data["linebeat"] == 1
    for key, wanted in CONTRACT.items():
        assert wanted == set(data[key])
    for key, wanted in CONTRACT_LISTS.items():
        assert wanted <= set(data[key][0]), key
    assert set(data["syllables"][0]["because"]) == {"pitch", "loudness", "length", "lexicon"}


def test_unvoiced_pitch_is_null(small_reading: VoiceReading) -> None:
    assert to_json(small_reading)["pitch"]["hz"] == [None, 120.1, 0.33, None]


def test_json_holds_no_nan(small_reading: VoiceReading) -> None:
    json.dumps(to_json(small_reading), allow_nan=False)


def test_packing_loses_nothing(small_reading: VoiceReading) -> None:
    back = unpack(json.loads(json.dumps(pack(small_reading))))

    assert same(back, small_reading)


def test_unpacked_arrays_cannot_be_written(small_reading: VoiceReading) -> None:
    back = unpack(json.loads(json.dumps(pack(small_reading))))

    assert not back.pitch.hz.flags.writeable
