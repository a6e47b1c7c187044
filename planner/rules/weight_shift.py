"""Weight shifts: the hips carry a change of thought.

`hit` is the frame on which the weight has arrived, a little after the attitude reads, unless the
intent leads with the hips. Planned where a beat's intent marks its change of thought so.
"""

from __future__ import annotations

from planner.plan.conflicts import Board
from planner.plan.context import LineContext
from planner.plan.drafts import Draft
from planner.plan.suggestion import Why
from planner.rules import rule
from planner.rules._thought import changes
from planner.rules._words import COMMON, direction_of_lean
from planner.rules.follow import lag_s

FRAME_S = 1 / 24
FIRST_S = 2 / 24  # common practice: weight leaves before the attitude is seen to change
LATER_S = 0.042  # one frame at 24 after the part that trails: weight is the last to arrive
SIZE_SHARE = 0.6  # of the attitude's size


@rule("weight-shift", order=55)
def weight_shifts(context: LineContext, board: Board) -> list[Draft]:
    """One where a change of thought is marked by it."""
    found: list[Draft] = []
    for change in changes(context, board):
        if change.mark != "weight shift":
            continue
        span, pose, intent = change.span, change.pose, change.span.intent
        late_s = -2 * LATER_S if intent.lead == "hips" else lag_s(intent, pose.size) + LATER_S
        hit_s = (pose.hit_s or pose.end_s) + late_s
        # The hips go first and arrive last; not while the thought before is still stressed.
        start_s = max(pose.start_s - FIRST_S, (pose.starts_from_s or 0.0) - FRAME_S, board.low_s)
        start_s = min(start_s, pose.start_s)
        direction = direction_of_lean(context, span)
        if direction in ("level", "up"):
            direction = "onto the other foot"
        found.append(
            context.draft(
                "weight-shift", "hips", f"b{span.number}", span=span, text=pose.text,
                at_s=(start_s, hit_s, hit_s), size=pose.size * SIZE_SHARE, direction=direction,
                path="dip",
                because=Why(
                    f"the thought changes before {context.quoted(span)}, "
                    f"at {context.said_s(context.span_start_s(span))}",
                    f"{intent.said}: {change.words}, marked by a shift of weight",
                    "The hips start first; the weight dips, goes over and arrives just after the "
                    "attitude.", COMMON,
                ),
                ease="sine", least_s=0.15, must=True, certainty=0.7,
            )
        )  # fmt: skip
    return found
