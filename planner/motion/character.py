"""One character's suggestions as rows: attitudes, moves, settles, holds, looks, blinks.

See `orders` for what a row is. Nothing is read off anything but the final suggestions: their
frames, charts, sizes, directions and paths.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from planner.motion.attitudes import Attitudes, groups_of
from planner.motion.gaze import look_place, returns
from planner.motion.orders import (
    ASIDE,
    EARLY,
    IN_STEP,
    TAKEN_OVER,
    Rows,
    aside_terms,
    chart_marks,
    effect_terms,
    slowing_marks,
    vector_terms,
)
from planner.motion.performance import KeyMoment, Spread
from planner.motion.table import MotionTable
from planner.motion.window import State
from planner.plan.suggestion import Suggestion
from planner.scene import Scene

BODY = ("head", "chest", "shoulders", "hips", "hands", "fingers")  # what settles
TRAILING = ("head", "chest", "shoulders", "hips")  # parts that a plan has followers of
TRUNK = ("head", "chest", "shoulders", "hips")  # what eases on in a hold
LOOKS_LATE = 0
AT_REST = 0.02
SETTLES_S = 12 / 24  # out and back; a settle that has less room is smaller (common practice)
IN_A_HURRY = 0.06  # of the move: what is seen as arriving rather than as going back again
LEADS_BY = 0.8  # of the lag between their own turns, for the head's way through the picture
FLOWS_S = 0.06  # a heavy part does not stop before it goes past its end


class _Character:
    """Makes the rows of one character, in the order of its suggestions."""

    def __init__(
        self, table: MotionTable, scene: Scene, who: str, facing: int,
        own: Sequence[Suggestion], rate: float, cut: Mapping[str, int | None],
        spread: Mapping[str, Spread], state: State | None = None,
    ) -> None:  # fmt: skip
        self.table, self.facing, self.rate, self.own = table, facing, rate, own
        self.rows = Rows()
        self.attitudes = Attitudes(table, scene, who, facing)
        self.groups = groups_of(table)
        self.cut, self.spread = cut, spread
        self.states: dict[str, State] = {}
        self.poses = {_tail(e): e for e in own if e.kind == "pose"}
        self.trails = {
            (_tail(e), e.part): e for e in own
            if e.kind == "follow" and _tail(e) in self.poses and _ends_away(e)
        }  # fmt: skip
        self.curves: dict[str, int] = {}
        self.moved: dict[str, dict[int, float]] = {}  # what each move adds, by its id
        self.last_change: dict[int, float] = {}
        self.last_size = 0.4
        self.gaze = (0.0, 0.0)
        self.shifted = 0.0
        self.leads: list[tuple[int, float]] = []
        self.leading: dict[str, bool] = {}
        self.starts = [e.frames[0] for e in own]
        self.movers: dict[str, list[Suggestion]] = {}
        for e in own:
            if e.kind in ("pose", "head-move", "reaction"):
                self.movers.setdefault(_tail(e), []).append(e)
        if state is not None:
            self.attitudes.now, self.attitudes.before = state.now, state.before
            self.gaze, self.shifted = state.gaze, state.shifted
            self.last_change, self.last_size = dict(state.last_change), state.last_size

    def make(self) -> None:
        """All rows."""
        for entry in self.own:
            until = self.cut.get(entry.id)
            if entry.id in self.cut and until is None:
                continue
            marks = chart_marks(entry, until, self.spread.get(entry.id))
            self.curves[entry.id] = self.rows.new_curve(*marks)
            {
                "pose": self._pose, "settle": self._settle, "hold": self._hold, "look": self._look,
                "blink": self._blink,
            }.get(entry.kind, self._move)(entry)  # fmt: skip
        for entry in self.own:
            if entry.id in self.curves and entry.id in self.moved:
                self._release(entry)

    def late(self, entry: Suggestion, channel: int) -> int:
        """Frames by which a channel trails a change of attitude."""
        leads = self.leading.get(entry.id)
        if leads is None:
            leads = self.leading[entry.id] = self.attitudes.chest_leads(entry)
        return late_frames(self.table, leads, self.facing, self.rate)[channel]

    def _pose(self, entry: Suggestion) -> None:
        self.states[entry.id] = State(
            self.attitudes.now, self.attitudes.before, self.gaze, self.shifted, self.last_change,
            self.last_size,
        )  # fmt: skip
        change = self.attitudes.change(entry)
        terms = vector_terms(change)
        self.last_change, self.last_size = terms, max(entry.size, 0.05)
        start = entry.timing_chart[0].at if entry.timing_chart else 0.0
        opens = start > 0.5  # already there as the shot opens
        tail, own, groups = _tail(entry), self.curves[entry.id], self.groups
        trails = {g: self._curve_of(e) for g in TRAILING if (e := self.trails.get((tail, g)))}
        chest_leads = self.leading[entry.id] = self.attitudes.chest_leads(entry)
        lates = late_frames(self.table, chest_leads, self.facing, self.rate)
        for channel, amount in terms.items():
            curve = trails.get(groups[channel])
            if curve is not None:
                self.rows.add(curve, channel, amount)
            else:
                self.rows.add(own, channel, amount, 0 if opens else lates[channel])
        row = self.table.raw["late_chest_leads_ms" if chest_leads else "late_ms"]
        ahead_s = LEADS_BY * (float(row["chest"]) - float(row["head"])) / 1000
        self.leads.append((entry.frames[0], ahead_s))
        if not opens:
            self._pose_bulges(entry, terms)

    def _curve_of(self, entry: Suggestion) -> int:
        if entry.id not in self.curves:
            marks = chart_marks(entry, None, self.spread.get(entry.id))
            self.curves[entry.id] = self.rows.new_curve(*marks)
        return self.curves[entry.id]

    def _pose_bulges(self, entry: Suggestion, terms: dict[int, float]) -> None:
        bulge = float(self.table.raw["bulge"].get(entry.path, 0.0))
        for part in ("head", "chest", "hips", "left hand", "right hand"):
            group = "hands" if part.endswith("hand") else part
            trail = self.trails.get((_tail(entry), group))
            curve = self._curve_of(trail) if trail else self.curves[entry.id]
            for channel, amount in aside_terms(self.table, part, terms, bulge, self.facing):
                late = 0 if trail else self.late(entry, channel)
                self.rows.add(curve, channel, amount, late, ASIDE)

    def _move(self, entry: Suggestion) -> None:
        """Whatever moves a part its own way and rests on the attitude."""
        if self.trails.get((_tail(entry), entry.part)) is entry:
            return  # the attitude's own part, later: done with the pose
        curve = self.curves[entry.id]
        if entry.kind == "reaction":
            change = vector_terms(self.attitudes.change(entry))
            for channel, amount in change.items():
                self.rows.add(curve, channel, amount, self.late(entry, channel))
            self._pose_bulges(entry, change)
        if entry.path == "still":
            self.rows.add(curve, len(self.table.channels) + 4, 1.0)
            return
        terms, first = effect_terms(self.table, entry, self.facing)
        if entry.kind == "weight-shift":
            terms = self._weight(entry, terms)
        total: dict[int, float] = {}
        for channel, amount, late_ms in terms:
            self.rows.add(curve, channel, amount, round(late_ms / 1000 * self.rate))
            total[channel] = total.get(channel, 0.0) + amount
        for channel, amount, _ in first:
            self.rows.add(curve, channel, amount, 0, EARLY)
        self.moved[entry.id] = total
        bulge = float(self.table.raw["bulge"].get(entry.path, 0.0))
        for channel, amount in aside_terms(self.table, entry.part, total, bulge, self.facing):
            self.rows.add(curve, channel, amount, 0, ASIDE)
        self._during(entry)

    def _weight(
        self, entry: Suggestion, terms: list[tuple[int, float, float]]
    ) -> list[tuple[int, float, float]]:
        """Onto the other foot: away from the one that bears now."""
        shift = self.table.index["hips.shift"]
        bears = self.attitudes.now[shift] + self.shifted
        if "other foot" not in entry.direction or not terms:
            return terms
        way = next((a for c, a, _ in terms if c == shift), 0.0)
        sign = -1.0 if bears * way > 0 else 1.0
        self.shifted = sign * way
        return [(c, sign * a, late) for c, a, late in terms]

    def _during(self, entry: Suggestion) -> None:
        """What the face does as long as a laugh or a sigh lasts."""
        name = "sigh" if entry.kind == "breath" and entry.direction == "down" else entry.kind
        row = self.table.raw["during"].get(name)
        if not row:
            return
        first, last = entry.frames
        edge = max(1, min(round(0.15 * self.rate), (last - first) // 3))
        curve = self.rows.new_curve(
            ((first - edge, first + edge, last - edge, last + 2 * edge), (0.0, 1.0, 1.0, 0.0))
        )
        strength = min(1.0, 0.5 + entry.size)
        for key, amount in row.items():
            for channel in self._both(key):
                self.rows.add(curve, channel, float(amount) * strength)

    def _both(self, key: str) -> list[int]:
        if key in self.table.index:
            return [self.table.index[key]]
        part, _, what = key.rpartition(".")
        return [self.table.index[f"{side} {part[:-1]}.{what}"] for side in ("left", "right")]

    def _settle(self, entry: Suggestion) -> None:
        """Past the end of the move it ends, by its own size, and back."""
        moves = self.movers.get(_tail(entry), [])
        mover = next((e for e in moves if e.id in self.curves), None)
        if mover is None:
            return
        terms = self.last_change if mover.kind == "pose" else self.moved.get(mover.id, {})
        share = entry.size / max(mover.size, 0.02)
        if entry.frames[1] - entry.frames[0] < SETTLES_S * self.rate:
            share = min(share, IN_A_HURRY)
        for channel, amount in terms.items():
            group = self.groups[channel]
            if group in BODY:
                late = self.late(mover, channel) if mover.kind == "pose" else 0
                early = 0 if group == "head" else round(FLOWS_S * self.rate)
                self.rows.add(self.curves[entry.id], channel, amount * share, max(late, 0) - early)

    def _hold(self, entry: Suggestion) -> None:
        """On the way the last move went, or as it says, by what it says."""
        total: dict[int, float] = {}
        if entry.direction.startswith(("on", "easing back")):
            sign = -1.0 if entry.direction.startswith("easing") else 1.0
            share = sign * min(entry.size / self.last_size, 0.05)
            total = {c: a * share for c, a in self.last_change.items() if self.groups[c] in TRUNK}
        else:
            for channel, amount, _ in effect_terms(self.table, entry, self.facing)[0]:
                total[channel] = total.get(channel, 0.0) + amount
        for channel, amount in total.items():
            self.rows.add(self.curves[entry.id], channel, amount)
        self.moved[entry.id] = total

    def _look(self, entry: Suggestion) -> None:
        to = look_place(entry.direction, self.table.raw["gaze"], self.facing)
        count = len(self.table.channels)
        for k in range(2):
            self.rows.add(self.curves[entry.id], count + k, to[k] - self.gaze[k], LOOKS_LATE)
        if not returns(entry):
            self.gaze = to

    def _blink(self, entry: Suggestion) -> None:
        count = len(self.table.channels)
        sides = {"left lid": (0,), "right lid": (1,)}.get(entry.part, (0, 1))
        for side in sides:
            self.rows.add(self.curves[entry.id], count + 2 + side, min(entry.size, 1.0))

    def _release(self, entry: Suggestion) -> None:
        """What ended away from rest goes back as a later move comes in, or by itself."""
        marks = self.rows.marks[self.curves[entry.id]]
        reached, end = marks[1][-1], int(marks[0][-1])
        if reached < AT_REST:
            return
        curve, value = self._taker(entry, end), IN_STEP
        usual = self.table.raw["returns_ms"].get(entry.kind)
        if curve is None and usual is None:
            return
        if curve is None or (usual and self._starts(curve) > end + usual / 1000 * self.rate):
            length = max(2, round(float(usual or 500.0) / 1000 * self.rate))
            curve, value = self.rows.new_curve(slowing_marks(end, end + length)), IN_STEP
        for channel, amount in self.moved[entry.id].items():
            self.rows.add(curve, channel, -amount * reached, 0, value)

    def _starts(self, curve: int) -> int:
        return int(self.rows.marks[curve][0][0])

    def _taker(self, entry: Suggestion, end: int) -> int | None:
        """The curve of the move that takes over, if one does."""
        kinds = TAKEN_OVER.get(entry.kind, ("pose",))
        cut = entry.id in self.cut
        for other in self.own[bisect_left(self.starts, end - 1) :]:
            if other is entry or other.id not in self.curves:
                continue
            same = other.part in (entry.part, "whole") or entry.part == "whole"
            by_winner = cut and other.part == entry.part
            if same and (other.kind in kinds or by_winner) and _reaches(other):
                return self.curves[other.id]
        return None


def _tail(entry: Suggestion) -> str:
    """Line and anchor of an id: what a settle or a follower shares with its move."""
    return entry.id.split("/", maxsplit=2)[2]


@lru_cache(maxsize=32)
def late_frames(table: MotionTable, chest_leads: bool, facing: int, rate: float) -> tuple[int, ...]:
    """Frames by which each channel trails a change of attitude."""
    row = table.raw["late_chest_leads_ms" if chest_leads else "late_ms"]
    extra = table.raw["later_ms"]
    found = []
    for full, group in zip(table.names, groups_of(table), strict=True):
        side = full.split(" ", maxsplit=1)[0]
        late_ms = float(row.get(group, 0.0))
        late_ms += float(extra.get(full.removeprefix(side + " "), extra.get(full, 0.0)))
        if side in ("left", "right") and (side == "right") == (facing < 0):
            late_ms += float(extra["far"])
        found.append(round(late_ms / 1000 * rate))
    return tuple(found)


def _ends_away(entry: Suggestion) -> bool:
    return not entry.timing_chart or entry.timing_chart[-1].at > 0.5


def _reaches(entry: Suggestion) -> bool:
    """Whether a move gets anywhere: one that opens the shot is there already."""
    return entry.frames[1] > entry.frames[0]


@dataclass(frozen=True, slots=True, eq=False)
class CharacterRows:
    """A character's rows; who leads from which frame (seconds); its state as each pose begins."""

    rows: Rows
    leads: list[tuple[int, float]]
    states: Mapping[str, State]


def in_order(own: Sequence[Suggestion]) -> list[Suggestion]:
    """The order in which a character's suggestions are worked off."""
    return sorted(own, key=lambda e: (e.frames[0], e.frames[1], e.id))


def character_rows(
    table: MotionTable, scene: Scene, who: str, facing: int, own: Sequence[Suggestion],
    rate: float, cut: Mapping[str, int | None], spread: Mapping[str, Spread],
    state: State | None = None,
) -> CharacterRows:  # fmt: skip
    """The rows of a character, its suggestions in order. state : where they begin in the middle."""
    character = _Character(table, scene, who, facing, own, rate, cut, spread, state)
    character.make()
    return CharacterRows(character.rows, character.leads, character.states)


def key_moments(own: Sequence[Suggestion]) -> tuple[KeyMoment, ...]:
    """What an animator would draw first: attitudes, main accents, reactions, strokes."""
    kinds = {"pose", "accent", "reaction", "gesture"}
    found = [
        KeyMoment(e.frames[1] if e.kind == "reaction" else e.hit, e.part, e.text, e.id)
        for e in own
        if e.kind in kinds and e.hit is not None
    ]
    return tuple(sorted(found, key=lambda k: (k.frame, k.of)))
