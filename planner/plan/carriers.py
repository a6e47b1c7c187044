"""What an accent can live in, which ways it goes there, and which is taken on a stress.

An accent is carried by the head, a brow, the eyes, a hand, a shoulder, the chest, or by everything
stopping. `CARRIERS` and `DIRECTIONS` are the whole set, each with a sentence; the compiled motion
reads (kind, part, direction, carrier) and nothing else. Which carrier a stress gets: what its word
means first (`planner.lexicon`), else the intent's weights, less what was just done, so that no
carrier comes twice running where another is as good. Same material, same choice: no chance.
All of it common practice.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from planner.lexicon import Meaning

CARRIERS: Mapping[str, str] = MappingProxyType(
    {
        "head": "the skull tips or nods on the neck; the body only carries it",
        "brow": "one brow ahead of the other, the head stays",
        "eyes": "the lids open wider or narrow, the head stays",
        "hand": "one hand lifts, strikes with the word and lets go",
        "shoulder": "a shoulder, or both, one ahead of the other",
        "chest": "the ribs lift or sink with the word",
        "stillness": "everything stops on the word: the stop is the accent",
    }
)
DIRECTIONS: Mapping[str, str] = MappingProxyType(
    {
        "down": "falls", "up": "lifts", "forward": "reaches to the front", "back": "draws in",
        "side": "tips to a side", "shake": "turns off and back, once", "nod": "dips twice, the "
        "second smaller", "wide": "lids open", "narrow": "lids close in", "still": "stops",
        "point": "out to what is meant", "count": "a finger more each time",
        "out, open": "palm turns out", "in, to the body": "comes to the own chest",
        "aside": "flicks off to a side",
    }
)  # fmt: skip
PART_OF: Mapping[str, str] = MappingProxyType(
    {"head": "head", "brow": "brows", "eyes": "lids", "shoulder": "shoulders", "chest": "chest",
     "stillness": "whole"}
)  # fmt: skip
JUST_DONE = 0.3  # of its weight is left to a carrier that was used the stress before
DONE_BEFORE = 0.6  # and to the one before that
CLEAR = 3.0  # weight of a meaning that any intent shows: no, yes, who knows
UNNAMED_CLEAR = 1.5  # of a carrier that the intent does not name, for a clear meaning
MEANT_AGAIN = 0.6  # of what a word asks for, where the stress before had the same carrier
UNNAMED_WEIGHT = 0.4  # of a carrier that the intent does not name, where the word asks for it


@dataclass(frozen=True, slots=True)
class Carried:
    """How a stress is carried, and why so."""

    carrier: str
    direction: str | None
    why: str


@lru_cache(maxsize=256)
def weights_of(said: str) -> Mapping[str, float]:
    """An intent's weights from their text: "head 3, brow 1".

    Raises ValueError where a carrier or its weight is none.
    """
    found: dict[str, float] = {}
    for piece in said.split(","):
        name, _, weight = piece.strip().partition(" ")
        if name not in CARRIERS:
            raise ValueError(f'"{name}" is no carrier')
        found[name] = float(weight or 1)
    return MappingProxyType(found)


def carried(
    weights: Mapping[str, float], before: Sequence[str], meaning: Meaning | None, jitter: float,
    barred: frozenset[str] = frozenset(),
) -> Carried:  # fmt: skip
    """The carrier of a stress.

    before : carriers of the stresses before it, the latest last; jitter : 0..1 from the material,
    which decides only between carriers that are nearly as good; barred : not to be had here.
    """
    score: dict[str, float] = {}
    for k, (name, weight) in enumerate(weights.items()):
        if name in barred:
            continue
        value = weight * (1 + 0.2 * ((jitter * (k + 2)) % 1.0))
        value *= JUST_DONE if name in before[-1:] else 1.0
        value *= DONE_BEFORE if name in before[-2:-1] else 1.0
        score[name] = value
    if meaning and meaning.carrier not in barred:
        unnamed = UNNAMED_CLEAR if meaning.weight >= CLEAR else UNNAMED_WEIGHT
        asked = weights.get(meaning.carrier, unnamed) * meaning.weight
        asked *= MEANT_AGAIN if meaning.carrier in before[-1:] else 1.0
        score[meaning.carrier] = max(asked, score.get(meaning.carrier, 0.0))
    if not score:
        return Carried("head", None, "")
    name = max(score, key=lambda n: (score[n], n))
    if meaning and name == meaning.carrier:
        return Carried(name, meaning.direction, f"the word {meaning.said}")
    best = max(weights, key=lambda n: weights[n])
    if name != best and best in before[-1:]:
        return Carried(name, None, f"the {best} has just done it")
    return Carried(name, None, "")


_VIA: Mapping[tuple[str, str], str] = MappingProxyType(
    {
        ("down", "dip"): "from level, a little over the top, down in front",
        ("down", "side"): "from level, out to a side, down and in",
        ("up", "dip"): "from level, under first, then up",
        ("up", "side"): "from level, round by a side, then up",
        ("forward", "dip"): "from level, under, out to the front",
        ("forward", "side"): "from level, round by a side, out to the front",
        ("back", "dip"): "from level, over the top, in",
        ("back", "side"): "from level, round by a side, in",
        ("side", "dip"): "from the middle, under, up to the side",
        ("side", "side"): "from the middle, back a little, over to the side",
        ("shake", ""): "from the middle, off to a side on a dip, past the middle, and home",
        ("nod", ""): "from level, down, half back, down again by less",
        ("still", ""): "nowhere: it stops",
        ("wide", ""): "upper lids first, the lower ones hardly",
        ("narrow", ""): "lower lids first, the upper ones follow",
        ("point", ""): "from rest, up by the elbow, out along the arm, finger last",
        ("count", ""): "from rest, up by the wrist, finger out, held",
        ("out, open", ""): "from rest, in toward the body, then out, palm turning",
        ("in, to the body", ""): "from rest, out a little, then round and in to the chest",
        ("aside", ""): "from rest, in first, then flicked off to the side",
    }
)


def via_of(kind: str, part: str, direction: str, path: str) -> str:
    """Where a move passes, in words: start, via, end. Empty where it has no way to go."""
    if kind in ("blink", "hold", "breath", "settle", "laugh", "look") or not direction:
        return ""
    first = direction.split(",", maxsplit=1)[0]
    if path == "snap":
        return f"straight, no detour, {direction}"
    known = _VIA.get((direction, path)) or _VIA.get((direction, "")) or _VIA.get((first, ""))
    if known:
        return known
    if part == "brows":
        return f"one brow first, the other after it, {first}"
    if part == "whole":
        return f"weight first, through a low middle, {direction}"
    if part in ("shoulders", "chest"):
        return f"one side ahead of the other, {direction}"
    if "hand" in part or "arm" in part or "fingers" in part:
        return f"from rest, in toward the body, round and {direction}"
    through = {"side": "round by a side", "dip": "through a dip"}.get(path, "on a curve")
    return f"{through}, {direction}"
