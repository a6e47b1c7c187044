"""What a decision takes along: followers go with their leader, holds and settles make room.

Conventions: frames. When the user moves a hit, an attitude, a gesture or a turn, what prepares,
trails or settles it moves by as many frames, unless the user decided about that too or another main
move stands there. Holds and settles that a decided move now overlaps are cut to what is left of
them, or go where nothing is left. Everything else stays; overlaps that remain are said.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

from planner.plan.drafts import LAYERS
from planner.plan.suggestion import Suggestion
from planner.plan.timing_chart import cut_chart

GOES_WITH: Mapping[str, tuple[str, ...]] = {
    "accent": ("anticipation", "follow", "brow"),
    "pose": ("anticipation", "settle", "follow", "weight-shift", "brow"),
    "head-move": ("settle",),
    "gesture": ("follow",),
    "reaction": ("anticipation", "settle", "brow"),
}
MAKES_ROOM = frozenset({"hold", "settle"})

Move = Callable[[Suggestion, int], Suggestion]


def take_along(by_id: dict[str, Suggestion], shifts: Mapping[str, int], move: Move) -> None:
    """Moves what goes with the suggestions in `shifts` (id -> frames); changes `by_id`."""
    shifts = {of: frames for of, frames in shifts.items() if frames}
    if not shifts:
        return
    by_place: dict[str, list[str]] = {}
    for of in by_id:
        by_place.setdefault(_place(of), []).append(of)
    parts = _by_part(by_id)
    for of, frames in shifts.items():
        for other in by_place[_place(of)]:
            if _goes_with(by_id[other], by_id[of]):
                moved = move(by_id[other], frames)
                neighbours = [by_id[n] for n in parts.get((moved.who, moved.part), ())]
                if not _stands_in_the_way(neighbours, moved):
                    by_id[other] = moved


def make_room(by_id: dict[str, Suggestion]) -> None:
    """Cuts undecided holds and settles to what decided moves leave them; changes `by_id`.

    Only parts on which the user decided something are looked at.
    """
    for ids in _by_part(by_id).values():
        moves = [by_id[of] for of in ids]
        if not any(s.decision for s in moves):
            continue
        firm = [s for s in moves if s.kind not in MAKES_ROOM or s.decision]
        for s in moves:
            if s.kind in MAKES_ROOM and not s.decision:
                first, last = _what_is_left(s.frames, firm)
                if last <= first:
                    del by_id[s.id]
                elif (first, last) != s.frames:
                    by_id[s.id] = _cut(s, first, last)


def _place(of: str) -> str:
    """Line and anchor of an id."""
    return of.split("/", 2)[2]


def _by_part(by_id: Mapping[str, Suggestion]) -> dict[tuple[str, str], list[str]]:
    """Ids of the main moves of each part of each character."""
    found: dict[tuple[str, str], list[str]] = {}
    for of, s in by_id.items():
        if s.kind not in LAYERS:
            found.setdefault((s.who, s.part), []).append(of)
    return found


def _goes_with(s: Suggestion, leader: Suggestion) -> bool:
    return s.kind in GOES_WITH.get(leader.kind, ()) and s.who == leader.who and not s.decision


def _stands_in_the_way(neighbours: Iterable[Suggestion], s: Suggestion) -> bool:
    if s.kind in LAYERS or s.kind in MAKES_ROOM:
        return False
    return any(
        o.frames[0] < s.frames[1] and o.frames[1] > s.frames[0]
        for o in neighbours
        if o.id != s.id and o.kind not in MAKES_ROOM
    )


def _what_is_left(frames: tuple[int, int], firm: Iterable[Suggestion]) -> tuple[int, int]:
    first, last = frames
    for other in firm:
        if other.frames[0] < last and other.frames[1] > first:
            if other.frames[0] > first:
                last = other.frames[0]
            else:
                first = other.frames[1]
    return first, last


def _cut(s: Suggestion, first: int, last: int) -> Suggestion:
    """The suggestion between those frames."""
    hit = None if s.hit is None else min(max(s.hit, first), last)
    chart = cut_chart(s.timing_chart, first, last)
    return replace(s, frames=(first, last), hit=hit, timing_chart=chart)
