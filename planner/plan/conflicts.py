"""The board on which a stretch is planned: who has the right of way, and how much is enough.

Conventions: seconds. One main move a part at a time; the attitude ("whole") holds the head too.
What is put first has the right of way: a later move is trimmed to the room that is left, or
refused. Two moves may share an end. Layers (accents, blinks...) take no part. Restraint: a beat
may spend its intent's `moves_per_s`; beyond that only what must be is let in. A planted part, and
what hangs on it, does not move. A gap too short to read as a stop is closed: what follows flows
from what was.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from planner.plan.drafts import COUNTED, Draft

FLOW_GAP_S = 0.17  # common practice: under 4 frames at 24 a stop reads as a hitch
STAYS_AT_START = frozenset({"settle", "reaction"})  # they begin where another move ends
DIES_EARLY = frozenset({"settle"})  # cut short by what comes next; the others must arrive
FLOWS_FROM = frozenset({"head-move", "settle", "hold", "weight-shift"})
_SHARED = {"whole": ("whole", "head"), "head": ("head", "whole")}
_HANGS_ON = {
    "left hand": ("left hand", "left arm", "left fingers"),
    "right hand": ("right hand", "right arm", "right fingers"),
}


class Board:
    """Drafts placed so far in one stretch. Grows while the rules run, then is read out."""

    def __init__(
        self,
        low_s: float,
        high_s: float,
        *,
        planted: tuple[tuple[str, float, float], ...] = (),
        allowance: tuple[int, ...] = (),
    ) -> None:
        self.low_s, self.high_s = low_s, high_s
        self.placed: list[Draft] = []
        self._by_part: dict[str, list[Draft]] = {}
        self._ids: set[str] = set()
        self._planted = planted
        self._allowance = allowance
        self._spent = [0] * len(allowance)

    def put(self, draft: Draft) -> Draft | None:
        """Fits a draft in and returns it as placed, or None where it finds no room."""
        fitted = self._inside(draft)
        if fitted is None or draft.id in self._ids or self._on_planted(fitted):
            return None
        counted = draft.kind in COUNTED and draft.span < len(self._spent)
        if counted and not draft.must and self._spent[draft.span] >= self._allowance[draft.span]:
            return None
        if not fitted.layers:
            fitted = self._fitted(fitted)
            if fitted is None:
                return None
            self._by_part.setdefault(fitted.part, []).append(fitted)
        if counted:
            self._spent[draft.span] += 1
        self._ids.add(fitted.id)
        self.placed.append(fitted)
        return fitted

    def moves(self, *parts: str) -> list[Draft]:
        """Placed main moves of those parts, in time order."""
        found = [d for p in parts for d in self._by_part.get(p, ())]
        return sorted(found, key=lambda d: d.start_s)

    def kind(self, kind: str, part: str | None = None) -> list[Draft]:
        """Placed drafts of a kind (and part), in the order they were put."""
        return [d for d in self.placed if d.kind == kind and part in (None, d.part)]

    def busy_until(self, time_s: float, *parts: str) -> float:
        """When the last main move of those parts that began by `time_s` is over."""
        ends = [d.end_s for d in self.moves(*parts) if d.start_s <= time_s]
        return max(ends, default=self.low_s)

    def planted_during(self, start_s: float, end_s: float) -> tuple[str, ...]:
        """Parts in contact at some time of that stretch."""
        return tuple(p for p, low, high in self._planted if low < end_s and high > start_s)

    def _inside(self, draft: Draft) -> Draft | None:
        """The draft cut to the stretch; None if its hit lies outside or the way gets too short."""
        start_s, end_s = max(draft.start_s, self.low_s), min(draft.end_s, self.high_s)
        hit_s = draft.hit_s if draft.hit_s is not None else end_s
        if draft.hit_s is not None and draft.hit_s == draft.end_s and end_s < draft.hit_s:
            hit_s = end_s
        if not self.low_s <= hit_s <= self.high_s or end_s < start_s:
            return None
        if (start_s, end_s) == (draft.start_s, draft.end_s):
            return draft
        if not draft.must and _way_s(draft, start_s, min(hit_s, end_s), end_s) < draft.least_s:
            return None
        return draft.trimmed(min(start_s, hit_s), end_s)

    def _on_planted(self, draft: Draft) -> bool:
        during = self.planted_during(draft.start_s, draft.end_s)
        return any(draft.part in _HANGS_ON.get(part, (part,)) for part in during)

    def _fitted(self, draft: Draft) -> Draft | None:
        """The draft in the room its part has left, or None."""
        start_s, end_s, hit_s = draft.start_s, draft.end_s, draft.hit_s
        returns = hit_s is not None and hit_s < end_s  # out to the hit and back again
        # A follower trails the whole body's move on its own part: that is no conflict.
        own = (draft.part,) if draft.kind == "follow" else _SHARED.get(draft.part, (draft.part,))
        for other in self.moves(*own):
            if other.end_s <= start_s or other.start_s >= end_s:
                continue
            turn_s = hit_s if returns and hit_s is not None else start_s + 1e-9
            if other.start_s >= turn_s:
                end_s = min(end_s, other.start_s)
            else:
                start_s = max(start_s, other.end_s)
        if draft.kind in STAYS_AT_START and start_s > draft.start_s:
            return None
        if hit_s is not None and hit_s > end_s and draft.kind not in DIES_EARLY:
            return None
        arrival_s = end_s if hit_s is None else min(hit_s, end_s)
        room_s = _way_s(draft, start_s, arrival_s, end_s)
        if end_s < start_s or room_s < draft.least_s:
            return None
        if (start_s, end_s) == (draft.start_s, draft.end_s):
            return draft
        fitted = draft.trimmed(start_s, end_s)
        if draft.kind == "settle":
            return fitted.noting("Cut short: the next move takes over.")
        return fitted


def _way_s(draft: Draft, start_s: float, hit_s: float, end_s: float) -> float:
    """How long the way to the hit is; a reaction's way begins at its hit."""
    return end_s - start_s if draft.kind == "reaction" else hit_s - start_s


def flowing(drafts: Iterable[Draft]) -> tuple[Draft, ...]:
    """Drafts with the short stops between moves of one part closed.

    The later move starts where the earlier ends: it gets a longer way, and nothing hitches.
    A follower and a reaction keep their start, which is their meaning.
    """
    last_end: dict[str, float] = {}
    found: list[Draft] = []
    for draft in sorted(drafts, key=lambda d: (d.start_s, d.end_s)):
        if draft.layers:
            found.append(draft)
            continue
        shared = _SHARED.get(draft.part, (draft.part,))
        end_s = max((last_end.get(p, -1e9) for p in shared), default=-1e9)
        gap_s = draft.start_s - end_s
        moved = draft
        if 0 < gap_s < FLOW_GAP_S and draft.kind in FLOWS_FROM:
            keys = tuple((end_s if s == draft.start_s else s, at) for s, at in draft.keys)
            moved = replace(draft, start_s=end_s, keys=keys)
        last_end[draft.part] = max(last_end.get(draft.part, -1e9), moved.end_s)
        found.append(moved)
    return tuple(found)
