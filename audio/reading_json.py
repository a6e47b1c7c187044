"""A reading as JSON: the contract of `linebeat read --json`, and the exact form kept by the store.

`to_json` rounds (0.1 ms, 0.01 Hz, 0.01 dB) and has null where no voice is. `pack` and `unpack`
are the store's own: every number comes back bit for bit, tracks as base64 of float64.
"""

from __future__ import annotations

import base64
import json
import math
from collections.abc import Iterable
from dataclasses import asdict, fields, is_dataclass
from typing import Any

import numpy as np

from audio.reading import (
    Because,
    ClipFacts,
    Delivery,
    FloatArray,
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


def _rounded(value: Any, key: str) -> Any:
    if isinstance(value, float):
        return round(value, 4 if key.endswith("_s") else 3)
    if isinstance(value, dict):
        return {k: _rounded(v, k) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_rounded(v, key) for v in value]
    return value


def _track(values: Iterable[float]) -> list[float | None]:
    return [None if math.isnan(v) else round(v, 2) for v in map(float, values)]


def to_json(reading: VoiceReading) -> dict[str, Any]:
    """The contract's JSON. Phrases name their words by first and last index, both included."""
    plain = {
        name: [_rounded(asdict(item), "") for item in getattr(reading, name)]
        for name in ("words", "syllables", "glides", "phrases", "pauses", "events")
    }
    pitch, loudness = reading.pitch, reading.loudness
    return {
        "linebeat": 1,
        "clip": _rounded(asdict(reading.clip), ""),
        "speaker": _rounded(asdict(reading.speaker), ""),
        **plain,
        "pitch": {
            "step_s": pitch.step_s,
            "start_s": round(pitch.start_s, 5),
            "hz": _track(pitch.hz),
        },
        "loudness": {
            "step_s": loudness.step_s,
            "start_s": round(loudness.start_s, 5),
            "db": _track(loudness.db),
        },
        "warnings": list(reading.warnings),
    }


def _packed(values: FloatArray) -> str:
    return base64.b64encode(np.ascontiguousarray(values, dtype="<f8").tobytes()).decode("ascii")


def _unpacked(text: str) -> FloatArray:
    return frozen_array(np.frombuffer(base64.b64decode(text), dtype="<f8"))


def settled(reading: VoiceReading) -> VoiceReading:
    """The same reading in plain Python numbers (no numpy scalars), so that every road to a
    reading, fresh or stored, gives one and the same value."""
    return unpack(json.loads(json.dumps(pack(reading), default=lambda number: number.item())))


def pack(reading: VoiceReading) -> dict[str, Any]:
    """Everything in a reading, as JSON types, nothing rounded."""
    packed: dict[str, Any] = {}
    for entry in fields(reading):
        value = getattr(reading, entry.name)
        if isinstance(value, PitchTrack | LoudnessTrack):
            packed[entry.name] = {
                f.name: _packed(v) if isinstance(v := getattr(value, f.name), np.ndarray) else v
                for f in fields(value)
            }
        elif isinstance(value, tuple):
            packed[entry.name] = [_plain(v) for v in value]
        else:
            packed[entry.name] = _plain(value)
    return packed


def _plain(value: Any) -> Any:
    """Records as dictionaries, all the way down (`asdict` copies every number besides)."""
    if is_dataclass(value):
        return {name: _plain(getattr(value, name)) for name in value.__dataclass_fields__}
    if isinstance(value, tuple):
        return [_plain(v) for v in value]
    return value


def unpack(packed: dict[str, Any]) -> VoiceReading:
    """The inverse of `pack`. Raises KeyError, TypeError or ValueError if it is not one."""
    return VoiceReading(
        clip=ClipFacts(**packed["clip"]),
        speaker=Speaker(**packed["speaker"]),
        words=tuple(
            Word(**{**w, "phones": tuple(Phone(**p) for p in w["phones"])}) for w in packed["words"]
        ),
        syllables=tuple(
            Syllable(
                **{
                    **s,
                    "because": Because(**s["because"]),
                    "delivery": Delivery(**s["delivery"]),
                }
            )
            for s in packed["syllables"]
        ),
        glides=tuple(Glide(**{**g, "syllables": tuple(g["syllables"])}) for g in packed["glides"]),
        phrases=tuple(_phrase(p) for p in packed["phrases"]),
        pauses=tuple(Pause(**p) for p in packed["pauses"]),
        events=tuple(VoiceEvent(**e) for e in packed["events"]),
        pitch=PitchTrack(**{**packed["pitch"], "hz": _unpacked(packed["pitch"]["hz"])}),
        loudness=LoudnessTrack(
            **{
                **packed["loudness"],
                "db": _unpacked(packed["loudness"]["db"]),
                "sonorant_db": _unpacked(packed["loudness"]["sonorant_db"]),
            }
        ),
        warnings=tuple(packed["warnings"]),
    )


def _phrase(packed: dict[str, Any]) -> Phrase:
    words = packed["words"]
    return Phrase(
        **{
            **packed,
            "words": None if words is None else (words[0], words[1]),
            "syllables": (packed["syllables"][0], packed["syllables"][1]),
            "leaned_syllables": tuple(packed["leaned_syllables"]),
        }
    )
