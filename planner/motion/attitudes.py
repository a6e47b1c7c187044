"""Attitudes: what the whole body and face do for an intent, and when each part gets there.

A pose brings every part to the attitude of its beat's intent; the parts do not go together: where
the plan has a row for a part that trails (`follow`) the part goes on that row's frames, else by
`late_ms` of the table. A reaction takes up face, shoulders and hands of its intent; head and chest
go as the plan says.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from audio.reading import FloatArray
from planner.intents import Intent, scene_intents
from planner.motion.table import MotionTable
from planner.plan.sides import Sides
from planner.plan.suggestion import Suggestion
from planner.scene import Scene

GROUPS = (
    "eyes",
    "brows",
    "lids",
    "mouth",
    "head",
    "chest",
    "shoulders",
    "hips",
    "hands",
    "fingers",
)
_GROUP_OF = {"brow": "brows", "lid": "lids", "corner": "mouth", "jaw": "mouth", "lips": "mouth",
             "shoulder": "shoulders", "foot": "hips", "hand": "hands", "wrist": "hands",
             "elbow": "hands"}  # fmt: skip
REACTS = ("brows", "lids", "mouth", "shoulders", "hands", "fingers")
REACTS_BY = 0.8  # of the attitude: a listener holds back
FURTHER = 0.25  # of the attitude, where it already holds and is only taken further
HAND_FROM = (0.52, 0.68)  # of an attitude: below it hands only start, above it they are there
HAND_LEAST = 0.12
LARGEST, SMALLEST = 1.15, 0.3
_SIGN = {"right": 1, "left": -1}


@dataclass(frozen=True, slots=True)
class Played:
    """An intent as an attitude: its name, how far it is taken, and the side of the other."""

    name: str
    scale: float
    side: int


@lru_cache(maxsize=4)
def _groups(names: tuple[str, ...]) -> tuple[str, ...]:
    parts = (n.rpartition(".")[0].rpartition(" ")[2] for n in names)
    return tuple(_GROUP_OF.get(p, p) for p in parts)


def groups_of(table: MotionTable) -> tuple[str, ...]:
    """The group of each channel."""
    return _groups(table.names)


def facing_of(who: str, scene: Scene) -> int:
    """Where a figure looks: to the others on the stage, away from the picture's edge; else right.

    The picture needs a way to face even where no stage is given; sides stay unnamed all the same.
    """
    sides = Sides.of(who, scene.stage)
    for other in scene.characters:
        side = sides.side_toward(other) if other != who else None
        if side:
            return _SIGN[side]
    inner = sides.inner_side(None)
    if inner:
        return _SIGN[inner]
    order = [c for c in scene.characters if c not in scene.stage]
    return -1 if who in order and order.index(who) % 2 else 1


class Attitudes:
    """The attitudes of one character over the shot: what each change adds."""

    def __init__(self, table: MotionTable, scene: Scene, who: str, facing: int) -> None:
        self.table, self.scene, self.facing = table, scene, facing
        self.sides = Sides.of(who, scene.stage)
        self.intents: Mapping[str, Intent] = scene_intents(scene)
        self.now: FloatArray = np.zeros(len(table.channels))
        self.before: Played | None = None
        self.groups = groups_of(table)
        self._known: dict[float, FloatArray] = {}
        self._reacts = np.array([g in REACTS for g in self.groups])

    def change(self, entry: Suggestion) -> FloatArray:
        """What a pose or a reaction adds to what is there; it becomes what is there."""
        played = self._played(entry)
        row = self.table.attitudes.get((self._named(played.name), played.side))
        wanted = self.now * 0.0 if row is None else row * self._scales(played.scale)
        if entry.kind == "reaction":
            wanted = np.where(self._reacts, wanted * REACTS_BY, self.now)
        delta: FloatArray = wanted - self.now
        self.now, self.before = wanted, played
        return delta

    def _scales(self, scale: float) -> FloatArray:
        """How far each channel goes: a hand is on the hip or it is not; a face reads early."""
        known = self._known.get(scale)
        if known is not None:
            return known
        by_group = dict.fromkeys(self.groups, scale)
        hand = float(np.interp(scale, HAND_FROM, (HAND_LEAST, 1.0)))
        by_group |= {"hands": hand, "fingers": hand}
        by_group |= dict.fromkeys(("brows", "lids", "mouth"), min(float(np.sqrt(scale)), 1.0))
        found: FloatArray = np.array([by_group[g] for g in self.groups])
        self._known[scale] = found
        return found

    def chest_leads(self, entry: Suggestion) -> bool:
        """Whether the chest starts this change."""
        intent = self.intents.get(self._played(entry).name)
        return intent is not None and intent.lead in ("chest", "hips")

    def _played(self, entry: Suggestion) -> Played:
        name, strength, toward = "neutral", 1.0, None
        if entry.kind == "reaction":
            cue = _number(entry.id, "c")
            if cue is not None and cue < len(self.scene.cues):
                name, strength = self.scene.cues[cue].intent, self.scene.cues[cue].strength
            return Played(name, 0.5 + 0.5 * strength, self.facing)
        if entry.beat is not None and entry.beat < len(self.scene.beats):
            beat = self.scene.beats[entry.beat]
            name, toward = beat.intent, beat.toward
        side = self.sides.side_toward(toward)
        usual = self.intents[name].pose_size if name in self.intents else 0.4
        scale = min(max(entry.size / max(usual, 0.05), SMALLEST), LARGEST)
        if self.before is not None and self.before.name == name and entry.kind == "pose":
            scale = min(max(self.before.scale + FURTHER, scale), LARGEST)
        return Played(name, scale, _SIGN[side] if side else self.facing)

    def _named(self, name: str) -> str:
        """The intent whose attitude is taken: its own, else of the one it is based on."""
        seen: set[str] = set()
        while (name, 1) not in self.table.attitudes and name not in seen:
            seen.add(name)
            entry = self.scene.intents.get(name) or {}
            name = str(entry.get("based_on", "neutral"))
        return name


def _number(entry_id: str, letter: str) -> int | None:
    """The number of an anchor such as c2, counted from 0."""
    anchor = entry_id.rpartition("/")[2]
    if anchor[:1] == letter and anchor[1:].isdigit():
        return int(anchor[1:]) - 1
    return None
