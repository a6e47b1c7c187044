"""Directions in words ("toward visitor (right)", "down, side") as ways of the table, and a side.

A plan says directions as people read them. Here each is one or more ways that the table of
amplitudes has rows for, the first the main one, and the picture's side if the words name it.
A way that no row is kept for is left out: the move is then smaller, never wrong.
"""

from __future__ import annotations

import re
from functools import lru_cache

_SIDE = re.compile(r"\((?:[^()]*\b)?(left|right)\b[^()]*\)")
_BRACKETS = re.compile(r"\([^()]*(?:\([^()]*\)[^()]*)*\)")
# Words that mean a way under another name. The longest that begins the piece is taken.
_MEANS = {
    "off to the side": "away", "off": "away", "aside": "aside", "back again": "toward",
    "up and off": "up", "onto the other foot": "other foot", "in, to the body": "in",
    "out, open": "open", "out": "open", "to the side": "side", "somewhere": "toward",
    "opposite of toward": "away", "opposite of away": "toward", "opposite of forward": "back",
    "opposite of back": "forward", "past the end": "past", "easing back": "easing back",
    "on": "on", "forward": "forward", "toward": "toward", "away": "away", "back": "back",
    "up": "up", "down a little": "down a little", "down": "down", "side": "side",
    "other side": "other side", "level": "level", "freezes": "freezes", "open": "open", "in": "in",
    "shake": "shake", "nod": "nod", "wide": "wide", "narrow": "narrow", "still": "still",
    "point": "point", "count": "count",
}  # fmt: skip
_LONGEST_FIRST = sorted(_MEANS, key=len, reverse=True)
_SIGN = {"right": 1, "left": -1}


@lru_cache(maxsize=2048)
def ways_of(direction: str) -> tuple[str, ...]:
    """The ways of a direction, the main one first.

    >>> ways_of("up, away from clerk (right)"), ways_of("out, open"), ways_of("aside, and back")
    (('up', 'away'), ('open',), ('aside',))
    """
    text = _BRACKETS.sub("", direction).strip().lower()
    whole = _means(text)
    if whole and text.startswith(("out, open", "in, to the body", "up and off")):
        return (whole,)
    found: list[str] = []
    for piece in re.split(r",\s*|\s+and\s+", text):
        way = _means(piece.strip())
        if way and not (way == "back" and found):  # "aside, and back" comes back by its chart
            found.append(way)
    return tuple(dict.fromkeys(found))


def _means(text: str) -> str:
    for words in _LONGEST_FIRST:
        if text == words or text.startswith((words + " ", words + ",")):
            return _MEANS[words]
    return ""


@lru_cache(maxsize=2048)
def side_of(direction: str) -> int:
    """1 if the words name the picture's right, -1 its left, 0 neither.

    "away from clerk (right)" goes right: the other stands to the left.
    """
    found = _SIDE.search(direction)
    if found is None:
        return 0
    sign = _SIGN[found.group(1)]
    return -sign if "away" in direction.split("(", maxsplit=1)[0] else sign
