"""Sides, as seen in the picture, from the scene's `stage`. Never guessed.

Conventions: left and right are the picture's. Without a stage a direction names the other
character only, and no hand is named.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

_PLACE = {"left": -1, "center": 0, "right": 1}
_OTHER = {"left": "right", "right": "left"}


@dataclass(frozen=True, slots=True)
class Sides:
    """Where a character stands and whom it may face. `places` is the scene's stage."""

    who: str
    places: tuple[tuple[str, str], ...]

    @classmethod
    def of(cls, who: str, stage: Mapping[str, str]) -> Sides:
        """The sides of a character on that stage."""
        return cls(who, tuple(sorted(stage.items())))

    def side_toward(self, other: str | None) -> str | None:
        """The picture's side on which `other` stands from here; None where it is not known."""
        places = dict(self.places)
        if other is None or self.who not in places or other not in places:
            return None
        here, there = _PLACE[places[self.who]], _PLACE[places[other]]
        if here == there:
            return None
        return "right" if there > here else "left"

    def toward(self, other: str | None) -> str:
        """In words: "toward visitor (right)"; "forward" where nobody is named."""
        if other is None:
            return "forward"
        side = self.side_toward(other)
        return f"toward {other} ({side})" if side else f"toward {other}"

    def away(self, other: str | None) -> str:
        """In words: "away from visitor (left)"; "back" where nobody is named."""
        if other is None:
            return "back"
        side = self.side_toward(other)
        return f"away from {other} ({_OTHER[side]})" if side else f"away from {other}"

    def inner_side(self, other: str | None) -> str | None:
        """The side nearer to `other`, or to the picture's middle; None if not known."""
        side = self.side_toward(other)
        if side:
            return side
        place = dict(self.places).get(self.who)
        return _OTHER.get(place) if place else None


def other_side(side: str) -> str:
    """Left for right, right for left."""
    return _OTHER[side]
