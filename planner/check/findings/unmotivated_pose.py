"""Poses without a stress or any other reason."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from itertools import pairwise

from planner.check.findings import Seen, finding
from planner.check.findings._words import OFFSET_24, READING_ERROR_MS, frames_text, listed
from planner.check.result import Finding
from planner.check.tolerance import REACH_MS, frames_at


@finding("unmotivated-pose", order=50)
def unmotivated(seen: Seen, found: Sequence[Finding]) -> list[Finding]:
    """Poses without a stress or any other reason; parts that move together are one finding."""
    scene = seen.scene
    answers = {f.frames[0] for f in found if f.kind == "early-reaction"}
    odd = [
        p.pose for p in seen.poses
        if p.verdict == "free" and not p.reason and p.pose.frame not in answers
    ]  # fmt: skip
    groups: list[list[int]] = [[i] for i in range(min(1, len(odd)))]
    for i, (a, b) in enumerate(pairwise(odd), start=1):
        if b.frame - a.frame <= frames_at(scene.rate, OFFSET_24[1]):
            groups[-1].append(i)
        else:
            groups.append([i])
    reach = scene.rate.frames_of_ms(REACH_MS)
    error = scene.rate.frames_of_ms(READING_ERROR_MS)
    by_frame = sorted(s.frame for s in seen.stresses)
    here = []
    for group in groups:
        poses = [odd[i] for i in group]
        first, last = poses[0].frame, poses[-1].frame
        at = bisect_left(by_frame, first)
        away = min((abs(first - f) for f in by_frame[max(0, at - 1) : at + 1]), default=None)
        spoken = any(a <= first <= b for a, b in seen.speech)
        parts = tuple(dict.fromkeys(p.part for p in poses))
        far = (
            f"{frames_text(away)} from the nearest stress" if away is not None else "no own stress"
        )
        where = "" if spoken else "; the voice is silent here, so a cue or a beat would explain it"
        here.append(
            Finding(
                "unmotivated-pose", poses[0].who, (first, last), parts,
                {"to_stress_frames": away}, {"to_stress_frames": [0, reach]},
                spoken and away is not None and away - reach > error,
                f"{listed(parts)} moves for no reason the sound or the scene gives "
                f"({far}){where}",
            )
        )  # fmt: skip
    return here
