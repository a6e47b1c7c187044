"""Key poses that say which word they are for: `on`, and how late they are meant to be: `late`.

Both are columns of a table of key poses. `on` is a stressed word as it is spoken ("third"), with
its line before it where that is needed ("1/third"); of several the nearest counts. Such a pose is
judged against that word however far it is, and not against the word it happens to be near. `late`
3 means that three frames late is right.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from planner.check.assign import Window
from planner.check.result import PoseVerdict
from planner.scene import KeyPose
from planner.scene.words import bare
from planner.shot.stresses import SpokenStress

_PLACE = re.compile(r"(?:([0-9]{1,4})/)?(.+)")
_FRAMES = re.compile(r"[+-]?[0-9]{1,3}")


def aimed_at(pose: KeyPose, stresses: Sequence[SpokenStress]) -> SpokenStress | None:
    """The stress a pose says it is for, or None if it says nothing or there is no such word."""
    given = pose.extra.get("on", "").strip()
    if not given:
        return None
    place = _PLACE.fullmatch(given)
    if place is None:
        return None
    line, word = place[1], bare(place[2]).lower()
    fits = [s for s in stresses if bare(s.text or "").lower() == word
            and (line is None or s.line == int(line))]  # fmt: skip
    return min(fits, key=lambda s: abs(s.frame - pose.frame), default=None)


def aimed_verdict(pose: KeyPose, stress: SpokenStress, allowed: Window) -> PoseVerdict:
    """How a pose stands to the word it is for; what it is meant to be late counts as right."""
    by = pose.frame - stress.frame
    late = pose.extra.get("late", "").strip()
    meant = int(late) if _FRAMES.fullmatch(late) else 0
    reason = f"{meant} late is meant" if meant else f"for {stress.word}"
    if allowed.lands(by - meant):
        return PoseVerdict(pose, "lands", by, stress, reason)
    return PoseVerdict(pose, "early" if by - meant < allowed.early else "late", by, stress, reason)
