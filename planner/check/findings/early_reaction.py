"""The first free pose around a cue comes before its word could be understood."""

from __future__ import annotations

from collections.abc import Sequence

from planner.check.findings import Seen, finding
from planner.check.findings._words import READING_ERROR_MS, frames_text, listed, milliseconds
from planner.check.result import Finding
from planner.check.tolerance import OWN_TIME_PARTS

BEFORE_CUE_MS = 500  # a free pose this long before the word may be meant as its answer
AFTER_CUE_MS = 1000  # and this long after it could be understood


@finding("early-reaction", order=40)
def early_reactions(seen: Seen, found: Sequence[Finding]) -> list[Finding]:
    """The first free pose around a cue comes before its word could be understood."""
    scene = seen.scene
    before, after = (scene.rate.frames_of_ms(ms) for ms in (BEFORE_CUE_MS, AFTER_CUE_MS))
    error = scene.rate.frames_of_ms(READING_ERROR_MS)
    here = []
    for cue in seen.cues:
        near = [
            p for p in seen.poses
            if p.verdict == "free" and p.pose.part not in OWN_TIME_PARTS
            and cue.word_frame - before <= p.pose.frame <= cue.earliest + after
            and p.reason in ("", "follows")
        ]  # fmt: skip
        if not near or near[0].pose.frame >= cue.earliest:
            continue
        frame = near[0].pose.frame
        parts = tuple(p.pose.part for p in near if p.pose.frame < cue.earliest)
        last = max(p.pose.frame for p in near if p.pose.frame < cue.earliest)
        after_ms, least_ms = (
            milliseconds(scene, frame - cue.word_frame),
            milliseconds(scene, cue.earliest - cue.word_frame),
        )
        here.append(
            Finding(
                "early-reaction", cue.cue.who, (frame, last), parts,
                {"after_word_ms": after_ms}, {"after_word_ms": [least_ms, None]},
                cue.earliest - frame > error,
                f'{listed(parts)} answers "{cue.word}" {frames_text(cue.earliest - frame)} before '
                f"it can be understood (frame {cue.earliest}); it reads as an interruption",
            )
        )  # fmt: skip
    return here
