"""What a character plays on a frame: the intent of its beat, and what a check needs to know of it.

Conventions: frames are the scene's own, inclusive; lengths at the scene's rate. Where no beat is
tagged, neutral is played; an intent the table does not know counts as neutral here (the plan says
so). A leader is the part that an intent lets move first; the parts after it follow by its lag.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from fractions import Fraction

from planner.check.tolerance import AT_RATE, OWN_TIME_PARTS, Limits
from planner.intents import Intent, blend, scene_intents
from planner.shot import Shot

LONGEST_LAG_MS = 250  # common practice: followers are 1-6 frames late at 24


def _at_24(milliseconds: float) -> Fraction:
    return Fraction(milliseconds) * AT_RATE / 1000


class Played:
    """The intents of a scene by character and frame."""

    def __init__(self, shot: Shot) -> None:
        scene = shot.scene
        self._rate = scene.rate
        self._known = scene_intents(scene)
        self._beats: dict[str, list[tuple[int, int, Intent]]] = {}
        self._windows: dict[int, Mapping[str, Limits] | None] = {}
        neutral = self._known["neutral"]
        self._neutral = blend(neutral, neutral, 1.0)
        for beat in scene.beats:
            frames = shot.beat_frames(beat)
            if frames:
                intent = blend(self._known.get(beat.intent, neutral), neutral, beat.strength)
                self._beats.setdefault(beat.who, []).append((*frames, intent))
        for spans in self._beats.values():
            spans.sort(key=lambda span: span[0])
        self._firsts = {who: [s[0] for s in spans] for who, spans in self._beats.items()}

    def intent(self, who: str, frame: int) -> Intent:
        """The intent played on a frame."""
        spans = self._beats.get(who, [])
        at = bisect_right(self._firsts.get(who, []), frame) - 1
        while at > 0 and spans[at - 1][1] >= frame:  # beats may share a frame: the earlier has it
            at -= 1
        return spans[at][2] if at >= 0 and spans[at][1] >= frame else self._neutral

    def tolerance(self, who: str, frame: int) -> Mapping[str, Limits] | None:
        """The intent's own windows (frames at 24), or None where they are neutral's.

        A scene's `tolerance` stands in for neutral's; an intent that asks for its own wins.
        """
        return self._windows_of(self.intent(who, frame))

    def _windows_of(self, intent: Intent) -> Mapping[str, Limits] | None:
        """As `tolerance`; worked out once for each intent as played."""
        if id(intent) not in self._windows:
            table: dict[str, Limits] = {}
            for kind in ("head", "body"):
                names = (f"early_{kind}_ms", f"late_{kind}_ms")
                early, late = (getattr(intent, name) for name in names)
                if (early, late) != tuple(getattr(self._neutral, name) for name in names):
                    table[kind] = (_at_24(-early), _at_24(late))
            self._windows[id(intent)] = table or None
        return self._windows[id(intent)]

    def leader(self, who: str, frame: int) -> str:
        """The part that moves first; where the eyes do, the head leads the body."""
        lead = self.intent(who, frame).lead
        return "head" if lead == "eyes" else lead

    def lag_frames(self, part: str, who: str, frame: int) -> int:
        """How far a part may trail its leader; 0 for the leader itself."""
        if part in OWN_TIME_PARTS or part in ("whole", self.leader(who, frame)):
            return 0
        lag_ms = min(self.intent(who, frame).follow_lag_ms, LONGEST_LAG_MS)
        return self._rate.frames_of_ms(lag_ms)

    def together(self, who: str, frame: int) -> bool:
        """True where the intent lets all parts go on one frame."""
        return self.intent(who, frame).parts_together

    def settle_ratio(self, who: str, frame: int) -> float:
        """How long this intent settles, against neutral."""
        usual_ms = self._neutral.settle_ms
        return self.intent(who, frame).settle_ms / usual_ms if usual_ms > 0 else 1.0
