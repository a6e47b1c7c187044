"""The table of amplitudes: channels, attitudes, moves, what the mouth does.

Conventions: a vector has a value for each channel, in the table's order. In the table turn, tip and
shift count toward the other, "near" is the side next to the other; here both are worked out for a
figure whose other stands to the picture's right (side 1) or left (side -1). `amplitudes.yaml` tells
the units. What an intent of a scene is based on stands in for an attitude it lacks.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

import numpy as np

from audio.errors import TableError
from audio.reading import FloatArray

SIDES = (1, -1)
_MIRRORED = (".turn", ".tip", ".shift", ".weight")  # counted toward the other in the table
_PAIRS = {
    "brows": "brow", "shoulders": "shoulder", "lids": "lid", "corners": "corner", "hands": "hand",
    "fingers": "fingers", "elbows": "elbow", "wrists": "wrist",
}  # fmt: skip
_OWN_HAND = ("hand", "wrist", "elbow", "fingers")
_NAMED = {"left arm": "left hand", "right arm": "right hand", "mouth": "jaw"}


@dataclass(frozen=True, slots=True)
class Channel:
    """A channel: its unit, rest and limits, and the most it changes in a second."""

    name: str
    rest: float
    low: float
    high: float
    top_per_s: float
    unit: str


@dataclass(frozen=True, slots=True)
class Effect:
    """What a move of size 1 does: (channel index, amount, later by ms), and first (prepare)."""

    does: tuple[tuple[int, float, float], ...]
    prepare: tuple[tuple[int, float, float], ...] = ()


NOTHING = Effect(())


@dataclass(frozen=True, slots=True, eq=False)
class MotionTable:
    """The whole table. `raw` keeps what is read by name (idle, gaze, mouth...)."""

    channels: tuple[Channel, ...]
    index: Mapping[str, int]
    attitudes: Mapping[tuple[str, int], FloatArray]
    moves: Mapping[tuple[str, str, int], Effect]
    raw: Mapping[str, Any]
    ways: frozenset[str]
    names: tuple[str, ...]

    def rest(self) -> FloatArray:
        """Every channel at rest, shape (channels,)."""
        return np.array([c.rest for c in self.channels])

    def effect(self, kind: str, part: str, way: str, side: int) -> Effect:
        """What a kind of move of a part does when it goes some way; nothing if neither is known."""
        named = _NAMED.get(part, part)
        for name in (f"{kind}/{named}", named):
            for asked in (way, "*"):
                found = self.moves.get((name, asked, side))
                if found is not None:
                    return found
        return NOTHING

    def knows(self, way: str) -> bool:
        """Whether any part has a row for that way."""
        return way in self.ways


@lru_cache(maxsize=1)
def load_table() -> MotionTable:
    """The shipped table, read once."""
    import yaml

    path = Path(__file__).with_name("amplitudes.yaml")
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    return table_of(yaml.load(path.read_text(encoding="utf-8"), Loader=loader), file=path.name)


def table_of(raw: Mapping[str, Any], *, file: str) -> MotionTable:
    """A table from its raw form. Raises TableError naming the row that is wrong."""
    try:
        channels = tuple(Channel(name, *row) for name, row in raw["channels"].items())
    except (KeyError, TypeError) as error:
        mend = "a channel is [rest, lowest, highest, top speed, unit]"
        raise TableError(f"channels cannot be read: {error}", where=file, mend=mend) from None
    index = MappingProxyType({c.name: i for i, c in enumerate(channels)})
    reader = _Reader(index, file)
    attitudes = {
        (name, side): reader.vector(f"attitudes/{name}", row, side)
        for name, row in raw["attitudes"].items()
        for side in SIDES
    }
    moves: dict[tuple[str, str, int], Effect] = {}
    for part, ways in raw["moves"].items():
        for way, row in ways.items():
            for side in SIDES:
                for name, own in _own_sides(part):
                    moves[name, way, side] = reader.effect(f"moves/{part}/{way}", row, side, own)
    return MotionTable(
        channels, index, MappingProxyType(attitudes), MappingProxyType(moves),
        MappingProxyType(raw), frozenset(way for _, way, _ in moves), tuple(index),
    )  # fmt: skip


def _own_sides(part: str) -> tuple[tuple[str, str], ...]:
    """The names a row is kept under, each with the side it is of ("" for both or none)."""
    if part in _OWN_HAND:
        return tuple((f"{side} {part}", side) for side in ("left", "right"))
    single = _PAIRS.get(part)
    alone = tuple((f"{side} {single}", side) for side in ("left", "right")) if single else ()
    return ((part, ""), *alone)


class _Reader:
    """Reads rows of the table into channel indexes."""

    def __init__(self, index: Mapping[str, int], file: str) -> None:
        self.index, self.file = index, file

    def vector(self, place: str, row: Mapping[str, Any] | None, side: int) -> FloatArray:
        """A row as a vector. A later name wins over "both sides" before it: they add up."""
        found = np.zeros(len(self.index))
        for key, value in (row or {}).items():
            for name, sign in self.channels_of(place, key, side, ""):
                found[self.index[name]] += sign * float(value)
        found.flags.writeable = False
        return found

    def effect(self, place: str, row: Mapping[str, Any], side: int, own: str) -> Effect:
        """A row of `moves`."""
        first = row.get("prepare", {})
        rest = {k: v for k, v in row.items() if k != "prepare"}
        return Effect(self._terms(place, rest, side, own), self._terms(place, first, side, own))

    def _terms(
        self, place: str, row: Mapping[str, Any], side: int, own: str
    ) -> tuple[tuple[int, float, float], ...]:
        terms = []
        for key, value in row.items():
            amount, late = value if isinstance(value, list) else (value, 0.0)
            for name, sign in self.channels_of(place, key, side, own):
                terms.append((self.index[name], sign * float(amount), float(late)))
        return tuple(terms)

    def channels_of(
        self, place: str, key: str, side: int, own: str
    ) -> tuple[tuple[str, float], ...]:
        """The channels that a key of the table means, each with its sign."""
        part, _, what = key.rpartition(".")
        near, far = ("right", "left") if side > 0 else ("left", "right")
        both: tuple[str, ...] = (part,)
        if key in self.index:
            pass
        elif part.startswith(("near ", "far ")):
            both = (
                part.replace("near", near, 1) if part[0] == "n" else part.replace("far", far, 1),
            )
        elif own and part in (*_OWN_HAND, *_PAIRS):
            both = (f"{own} {_PAIRS.get(part, part)}",)
        elif part in _PAIRS:
            both = (f"left {_PAIRS[part]}", f"right {_PAIRS[part]}")
        names = tuple(f"{p}.{what}" for p in both)
        unknown = next((n for n in names if n not in self.index), None)
        if unknown is not None:
            raise TableError(f'{place}: no channel "{key}"', where=self.file,
                             mend="use a channel of the table, or a pair of them")  # fmt: skip
        turned = f".{what}" in _MIRRORED and not part.endswith("hand")
        return tuple((name, float(side) if turned else 1.0) for name in names)
