"""Last look over one character's suggestions on frames, across lines and listening stretches.

Conventions: frames inclusive; two main moves of a part may share one frame. Done here: where lines
of different exposure meet, the earlier move gives way; holds that meet become one; what layers
rides on a move that is there. A long hold with nothing in it is remarked on.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import replace

from planner.plan.drafts import LAYERS
from planner.plan.on_frames import Grid
from planner.plan.suggestion import Suggestion
from planner.plan.timing_chart import cut_chart

EMPTY_HOLD_S = 2.0  # common practice: longer with nothing in it, and the character is gone


def tidied(suggestions: Iterable[Suggestion]) -> list[Suggestion]:
    """The suggestions with overlaps of a frame or so taken away."""
    found: list[Suggestion] = []
    last: dict[str, int] = {}
    renamed: dict[str, str] = {}
    seen: set[str] = set()
    for given in sorted(suggestions, key=lambda s: (s.frames[0], s.frames[1])):
        s = _named_apart(given, seen)
        if s.kind in LAYERS:
            found.append(s)
            continue
        if s.part in last:
            k = last[s.part]
            before = found[k]
            if s.kind == before.kind == "hold" and s.frames[0] <= before.frames[1] + 1:
                found[k] = _held_on(before, s)
                renamed[s.id] = before.id
                continue
            if before.frames[1] > s.frames[0]:
                found[k] = _ending(before, s.frames[0])
        last[s.part] = len(found)
        found.append(s)
    return _riding(found, renamed)


def _named_apart(s: Suggestion, seen: set[str]) -> Suggestion:
    """A second hold while listening to the same line gets the next number of its kind."""
    while s.id in seen:
        stem = s.id.rstrip("0123456789")
        s = replace(s, id=f"{stem}{int(s.id[len(stem) :] or 0) + 1}")
    seen.add(s.id)
    return s


def _riding(found: list[Suggestion], renamed: dict[str, str]) -> list[Suggestion]:
    """Layers on moves that exist: one whose attitude found no room rides on what is there."""
    moves = [s for s in found if s.kind not in LAYERS]
    known = {s.id for s in found}
    for k, s in enumerate(found):
        if s.kind not in LAYERS:
            continue
        wanted = renamed.get(s.rides_on or "", s.rides_on)
        if wanted not in known:
            begun = [m.id for m in moves if m.frames[0] <= s.frames[1]]
            wanted = begun[-1] if begun else moves[0].id if moves else None
        if wanted != s.rides_on:
            found[k] = replace(s, rides_on=wanted)
    return found


def _held_on(hold: Suggestion, more: Suggestion) -> Suggestion:
    """Two holds that meet are one: the first goes on to the end of the second."""
    end = max(hold.frames[1], more.frames[1])
    chart = (hold.timing_chart[0], *more.timing_chart[-1:]) if more.timing_chart else ()
    same, _, what = more.because.sound.partition("; ")
    goes_on = what if what and hold.because.sound.startswith(f"{same}; ") else more.because.sound
    sound = f"{hold.because.sound}, then {goes_on}"
    return replace(
        hold, frames=(hold.frames[0], end), timing_chart=chart,
        because=replace(hold.because, sound=sound),
    )  # fmt: skip


def _ending(s: Suggestion, frame: int) -> Suggestion:
    """The suggestion ended on that frame."""
    end = max(frame, s.frames[0])
    hit = s.hit if s.hit is None else min(s.hit, end)
    chart = cut_chart(s.timing_chart, s.frames[0], end)
    return replace(s, frames=(s.frames[0], end), hit=hit, timing_chart=chart)


def empty_holds(suggestions: Sequence[Suggestion], grid: Grid) -> list[str]:
    """A remark for each hold of more than two seconds in which nothing lives.

    `suggestions` in order of frames.
    """
    longest = EMPTY_HOLD_S * grid.frames_per_s
    starts: dict[str, list[int]] = {}
    for s in suggestions:
        if s.kind != "hold":
            starts.setdefault(s.who, []).append(s.frames[0])
    found: list[str] = []
    for s in suggestions:
        first, last = s.frames
        if s.kind != "hold" or last - first <= longest:
            continue
        own = starts.get(s.who, [])
        k = bisect_right(own, first)
        if k == len(own) or own[k] >= last:
            found.append(
                f"{s.who} holds from {first} to {last} ({last - first + 1} frames) with nothing in "
                "it: give it a cue, or a beat by frames"
            )
    return found
