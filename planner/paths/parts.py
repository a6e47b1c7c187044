"""Which point of a figure a track is: from the scene's `tracks:`, else from the track's name.

A name is cut into words at capitals, digits and punctuation ("LeftForeArm", "l_wrist",
"clerk_nose"). A leading character name says who. Sides are taken as the name gives them, never
guessed. Nose, chin, ears and head are points of one rigid part, the head. A name that says nothing
known is a part of its own.

`role` is the place in a limb chain: shoulder, elbow, wrist, tip; "" elsewhere. In skeleton files a
joint is named for the bone that begins there: "LeftArm" is a shoulder, "LeftForeArm" an elbow.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from planner.scene import TrackOf

_SIDES = {"l": "left", "left": "left", "lt": "left", "r": "right", "right": "right", "rt": "right"}
# word in the name -> (part, role); with {} where the side belongs
_KNOWN: dict[str, tuple[str, str]] = {
    **dict.fromkeys(
        ("head", "nose", "chin", "face", "skull", "forehead", "crown", "ear", "ears", "cheek"),
        ("head", ""),
    ),
    **dict.fromkeys(
        ("chest", "sternum", "torso", "spine", "ribcage", "ribs", "thorax", "breast"),
        ("chest", ""),
    ),
    **dict.fromkeys(("hips", "hip", "pelvis", "waist", "root"), ("hips", "")),
    **dict.fromkeys(("shoulder", "shoulders"), ("shoulders", "shoulder")),
    **dict.fromkeys(("arm", "upperarm", "uparm"), ("{} arm", "shoulder")),
    **dict.fromkeys(("elbow", "forearm", "lowerarm"), ("{} arm", "elbow")),
    **dict.fromkeys(("wrist", "hand", "palm"), ("{} hand", "wrist")),
    **dict.fromkeys(
        ("fingertip", "fingertips", "finger", "fingers", "index", "tip"), ("{} fingers", "tip")
    ),
    **dict.fromkeys(("thumb", "pinky", "ring", "knuckle", "knuckles"), ("{} fingers", "")),
    **dict.fromkeys(("eye", "eyes", "pupil", "pupils", "iris"), ("eyes", "")),
    **dict.fromkeys(("lid", "lids", "eyelid", "eyelids"), ("lids", "")),
    **dict.fromkeys(("brow", "brows", "eyebrow", "eyebrows"), ("brows", "")),
    **dict.fromkeys(("jaw", "mouth", "lip", "lips"), ("jaw", "")),
    **dict.fromkeys(("foot", "ankle", "toe", "toes", "heel"), ("{} foot", "")),
    **dict.fromkeys(("leg", "upleg", "thigh", "knee", "shin", "calf"), ("{} leg", "")),
}
# what carries the body: it stands or travels, and is not judged as acting
CARRYING_PARTS = ("hips", "left foot", "right foot", "foot", "left leg", "right leg", "leg")
_ROLE_OF_PART = {"hand": "wrist", "fingers": "tip", "shoulders": "shoulder"}
_WORDS = re.compile(r"[A-Z]?[a-z]+|[A-Z]+(?![a-z])|[0-9]+|[^\W\d_a-zA-Z]+")
_PAIRS = {
    ("up", "leg"): "upleg",
    ("fore", "arm"): "forearm", ("upper", "arm"): "upperarm", ("up", "arm"): "uparm",
    ("lower", "arm"): "lowerarm", ("finger", "tip"): "fingertip", ("finger", "tips"): "fingertips",
    ("fore", "head"): "forehead", ("eye", "lid"): "lid", ("eye", "brow"): "brow",
    ("rib", "cage"): "ribcage",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Point:
    """What a track is. `who` is "" where nothing says it; `known` False for a name of its own."""

    who: str
    part: str
    role: str = ""
    side: str = ""
    known: bool = True


def name_words(name: str) -> list[str]:
    """A track's name as lower-case words, known pairs joined.

    >>> name_words("LeftForeArm"), name_words("clerk.l_finger_tip")
    (['left', 'forearm'], ['clerk', 'l', 'fingertip'])
    """
    words = [word.lower() for word in _WORDS.findall(name)]
    joined: list[str] = []
    for word in words:
        pair = _PAIRS.get((joined[-1], word)) if joined else None
        if pair:
            joined[-1] = pair
        else:
            joined.append(word)
    return joined


def point_of(
    name: str, *, characters: Sequence[str] = (), given: Mapping[str, TrackOf] | None = None,
    who: str = "",
) -> Point:  # fmt: skip
    """Which point a track is.

    given : the scene's own words about tracks, which win; who : whose track it is if the name
    does not say (one character asked for, or the only one of the scene).
    """
    stated = (given or {}).get(name)
    if stated is not None:
        return _from_part(stated.who, stated.part, name)
    for character in sorted(characters, key=len, reverse=True):
        rest = _without_prefix(name, character)
        if rest:
            return _from_words(character, name_words(rest), name)
    if not who and len(characters) == 1:
        who = characters[0]
    return _from_words(who, name_words(name), name)


def _without_prefix(name: str, character: str) -> str:
    """The rest of the name after "clerk_" (or "clerk.", "clerk:", "clerkNose"), or ""."""
    if not name.lower().startswith(character.lower()):
        return ""
    rest = name[len(character) :]
    if rest[:1] in "_.:-/ " or rest[:1].isupper():
        return rest.lstrip("_.:-/ ")
    return ""


def _from_words(who: str, words: list[str], name: str) -> Point:
    side = next((_SIDES[word] for word in words if word in _SIDES), "")
    for word in words:
        known = _KNOWN.get(word)
        if known is None:
            continue
        part = known[0].format(side).strip()
        role = known[1] if not (word == "shoulders" and not side) else ""
        return Point(who, part, role, side)
    return Point(who, name, "", side, known=False)


def _from_part(who: str, part: str, name: str) -> Point:
    """A part as the scene names it; the track's own name may still tell the role."""
    side = next((s for s in ("left", "right") if part.startswith(s)), "")
    role = _from_words(who, name_words(name), name).role
    last_word = part.rpartition(" ")[2]
    return Point(who, part, role or _ROLE_OF_PART.get(last_word, ""), side)
