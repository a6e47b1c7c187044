"""compile_motion: from a plan's final frames to every channel on every frame.

Steps, for each character: settle what two orders to one part would have done (`orders`); make each
suggestion's chart a curve (`curves`) and say what it adds to which channel (rows); add all rows up
at once; then gaze against the head's own moves, lids, mouth and idle life; limits; exposure.

Conventions as in `planner.motion.performance`. A character's motion depends on its own suggestions
alone, so `Compiler` keeps what has not changed. Nothing here opens a file.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from audio.reading import FloatArray
from planner.motion.attitudes import facing_of
from planner.motion.character import character_rows, in_order, key_moments
from planner.motion.gaze import gaze_track
from planner.motion.idle import fixations, idle_of
from planner.motion.mouth import mouth_of
from planner.motion.orders import Rows, settle_conflicts
from planner.motion.performance import CharacterMotion, GivenUp, Performance, Spread
from planner.motion.spread import spread_moves
from planner.motion.table import MotionTable, load_table
from planner.motion.values import (
    eyes,
    held_frames,
    leading,
    limited,
    rounded_off,
    speak,
    summed,
    weigh,
)
from planner.motion.window import State, changed, windows
from planner.plan.suggestion import Plan, Suggestion
from planner.shot import Shot

# Summed beside the channels.
EXTRA = ("gaze.turn", "gaze.up", "left blink", "right blink", "stillness")
STOPS_BY = 0.85  # of the idle life: a stop is nearly still
MARGIN = 16  # frames around a stretch that is compiled anew, for what is blurred in time


def compile_motion(plan: Plan, shot: Shot, *, table: MotionTable | None = None) -> Performance:
    """The performance of a plan of the shot.

    Raises TableError for a table of amplitudes that cannot be read.
    """
    return Compiler(table).compile(plan, shot)


@dataclass(frozen=True, slots=True, eq=False)
class _Kept:
    """A character as compiled: what it was made of, and what the next compile can build on."""

    fixed: object
    entries: list[Suggestion]
    motion: CharacterMotion
    given_up: tuple[GivenUp, ...]
    spread: tuple[Spread, ...]
    states: Mapping[str, State]
    leads: list[tuple[int, float]]


class Compiler:
    """Compiles plans one after the other; what has not changed is kept, character by character,
    and of a character that has, the frames that the change cannot touch."""

    def __init__(self, table: MotionTable | None = None) -> None:
        self.table = table or load_table()
        self._kept: dict[str, _Kept] = {}
        self._mouths: dict[str, tuple[object, FloatArray]] = {}

    def compile(self, plan: Plan, shot: Shot) -> Performance:
        """The performance of a plan."""
        own: dict[str, list[Suggestion]] = {who: [] for who in shot.scene.characters}
        for entry in plan.suggestions:
            own.setdefault(entry.who, []).append(entry)
        first, last = plan.shot[0] - shot.scene.handles, plan.shot[1] + shot.scene.handles
        made = [
            self._character(who, in_order(entries), shot, (first, last))
            for who, entries in own.items()
        ]
        self._kept = {kept.motion.who: kept for kept in made}
        given_up = tuple(gone for kept in made for gone in kept.given_up)
        spread = tuple(one for kept in made for one in kept.spread)
        rate = shot.scene.rate.frames_per_s
        return Performance(first, last, rate, tuple(k.motion for k in made), given_up, spread)

    def _character(
        self, who: str, entries: list[Suggestion], shot: Shot,
        frames: tuple[int, int],
    ) -> _Kept:  # fmt: skip
        lines = [line for line in shot.scene.lines if line.who == who]
        voices = [(line.at_s, id(shot.heard.get(line.number))) for line in lines]
        scene = shot.scene
        fixed = (frames, scene.cues, scene.stage, scene.planted, scene.intents, scene.clock, voices)
        kept = self._kept.get(who)
        if kept is None or kept.fixed != fixed:
            return self._whole(who, entries, shot, frames, fixed)
        if changed(kept.entries, entries) is None:
            return kept
        return self._changed(kept, entries, shot, frames) or self._whole(
            who, entries, shot, frames, fixed
        )

    def _whole(
        self, who: str, entries: list[Suggestion], shot: Shot,
        frames: tuple[int, int], fixed: object,
    ) -> _Kept:  # fmt: skip
        """A character compiled from nothing."""
        cut, given_up = settle_conflicts(entries)
        facing, rate = facing_of(who, shot.scene), float(shot.scene.rate.frames_per_s)
        spread = spread_moves(entries, rate)
        rows = character_rows(self.table, shot.scene, who, facing, entries, rate, cut, spread)
        smooth = self._values(who, rows.rows, None, shot, frames, frames)
        motion = self._motion(who, entries, rows.leads, smooth, shot, frames)
        told = tuple(spread.values())
        return _Kept(fixed, entries, motion, tuple(given_up), told, rows.states, rows.leads)

    def _changed(
        self, kept: _Kept, entries: list[Suggestion], shot: Shot,
        frames: tuple[int, int],
    ) -> _Kept | None:  # fmt: skip
        """A character of which a stretch is compiled anew; None where that cannot be."""
        who, rate = kept.motion.who, float(shot.scene.rate.frames_per_s)
        cut, given_up = settle_conflicts(entries)
        spread = spread_moves(entries, rate)
        for window in windows(kept.entries, entries, frames[1], rate):
            start = kept.states.get(window.opens)
            if start is None:
                return None
            own = _without_orphans(entries, *window.entries)
            rows = character_rows(
                self.table, shot.scene, who, kept.motion.side, own, rate, cut, spread, start
            )
            closes = rows.states.get(window.closes)
            if window.closes and (
                closes is None or not closes.same(kept.states.get(window.closes))
            ):
                continue
            low, high = window.frames
            part = (max(low - MARGIN, frames[0]), min(high + MARGIN, frames[1]))
            some = self._values(who, rows.rows, start, shot, frames, part)
            smooth = kept.motion.smooth.copy()
            skip = low - part[0]
            smooth[low - frames[0] : high - frames[0] + 1] = some[skip : skip + high - low + 1]
            states = {**kept.states, **rows.states}
            opened, closed = own[0].frames[0], high
            leads = [x for x in kept.leads if x[0] < opened or x[0] > closed]
            leads = sorted([*leads, *(x for x in rows.leads if x[0] <= closed)])
            motion = self._motion(who, entries, leads, smooth, shot, frames)
            told = tuple(spread.values())
            return _Kept(kept.fixed, entries, motion, tuple(given_up), told, states, leads)
        return None

    def _values(
        self, who: str, rows: Rows, start: State | None, shot: Shot,
        frames: tuple[int, int], part: tuple[int, int],
    ) -> FloatArray:  # fmt: skip
        """All channels on the frames of a part of the shot, within their limits."""
        table, facing = self.table, facing_of(who, shot.scene)
        first, count = part[0], part[1] - part[0] + 1
        rate = float(shot.scene.rate.frames_per_s)
        width = len(table.channels)
        sums = summed(rows, width + len(EXTRA), first, count)
        if start is not None:
            sums[:, :width] += start.now
            sums[:, width : width + 2] += start.gaze
        rounded_off(sums, table, rate)
        values = table.rest() + sums[:, :width]
        times = np.arange(frames[1] - frames[0] + 1) / rate
        inside = slice(first - frames[0], first - frames[0] + count)
        stops = np.clip(sums[:, -1:], 0.0, 1.0)
        values += idle_of(who, times[inside], table) * (1 - STOPS_BY * stops)
        weigh(values, table)
        small = fixations(who, times, table)
        looks = (small[0][inside], small[1][inside])
        eyes(values, sums[:, width:], looks, table, facing)
        mouth = self._mouth(who, shot, frames)[inside]
        speak(values, mouth, table)
        return limited(values, table)

    def _motion(
        self, who: str, entries: list[Suggestion], leads: list[tuple[int, float]],
        smooth: FloatArray, shot: Shot, frames: tuple[int, int],
    ) -> CharacterMotion:  # fmt: skip
        first, count = frames[0], len(smooth)
        held = held_frames(who, shot.scene, shot.heard, first, count)
        exposed = smooth[held] if np.any(np.diff(held) != 1) else smooth
        for array in (smooth, exposed, held):
            array.flags.writeable = False
        other = next((c for c in shot.scene.characters if c != who), "what it is about")
        looks = [e for e in entries if e.kind == "look"]
        planted = tuple((p.part, *p.frames) for p in shot.scene.planted if p.who == who)
        ahead = leading(leads, first, count, float(shot.scene.rate.frames_per_s))
        return CharacterMotion(
            who, first, facing_of(who, shot.scene), self.table, exposed, smooth,
            gaze_track(looks, *frames, other), held, ahead, planted, key_moments(entries),
        )  # fmt: skip

    def _mouth(self, who: str, shot: Shot, frames: tuple[int, int]) -> FloatArray:
        """Jaw and lips of the voice over the shot; kept while the voice is the same."""
        spoken = [
            (line.at_s, shot.heard[line.number])
            for line in shot.scene.lines
            if line.who == who and line.number in shot.heard
        ]
        count = frames[1] - frames[0] + 1
        key = ([(at_s, id(r)) for at_s, r in spoken], frames, shot.scene.clock)
        kept = self._mouths.get(who)
        if kept is None or kept[0] != key:
            made = mouth_of(spoken, shot.scene.clock, frames[0], count, self.table)
            kept = self._mouths[who] = (key, made)
        return kept[1]


def _without_orphans(entries: list[Suggestion], start: int, stop: int) -> list[Suggestion]:
    """A stretch of entries without followers and settles whose own move lies before it."""
    outside = {"/".join(e.id.split("/")[2:]) for e in entries[:start] if e.kind == "pose"}
    return [
        e for e in entries[start:stop]
        if e.kind not in ("follow", "settle") or e.id.split("/", maxsplit=2)[2] not in outside
    ]  # fmt: skip
