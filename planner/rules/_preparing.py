"""The room for the anticipation of an attitude or a take, and why there is none.

Common practice: an attitude of .4 or more, and every surprise, is prepared where five frames at 24
are free; a change of attitude that has room gives up a part of its own travel for that. A heard
in-breath that leads into the attitude is its anticipation, and nothing else prepares it.
"""

from __future__ import annotations

from planner.intents import Intent
from planner.plan.context import LineContext

PREPARED_POSE = 0.4  # size; smaller changes are simply taken up
FREE_S = 5 / 24  # with less before it nothing can be prepared
ANTICIPATION_S = (3 / 24, 6 / 24)
LEAST_TRAVEL_SHARE = 0.55  # of the intent's own travel, left to the change itself
BREATH_NEAR_S = 0.13  # 3 frames at 24: a breath as near leads into the attitude
TAKE_BROW = 0.7  # intents whose brows go as high are surprises: their reactions are takes


def prepared_share(intent: Intent) -> float:
    """The size of an anticipation as a share of the attitude."""
    return 0.15 + 0.3 * min(intent.anticipation_ratio, 1.0)


def is_take(intent: Intent) -> bool:
    """Whether a reaction in that intent is a take."""
    return intent.brow_size >= TAKE_BROW and intent.brow == "up"


def wanted_s(intent: Intent) -> float:
    """How long the body would like to prepare; 0 where the intent prepares nothing."""
    if intent.anticipation_ms < ANTICIPATION_S[0] * 1000 * 0.95 or intent.anticipation_ratio <= 0:
        return 0.0
    return min(max(intent.anticipation_ms / 1000, ANTICIPATION_S[0]), ANTICIPATION_S[1])


def room_for_pose(
    context: LineContext, intent: Intent, free_s: float, start_s: float, hit_s: float,
    least_s: float,
) -> tuple[float, float | None, str]:  # fmt: skip
    """When the change starts, from when it is prepared (None: not), and what is said of it."""
    breath = breath_into(context, start_s, hit_s)
    if breath is not None:
        return start_s, None, " The in-breath is its anticipation."
    wanted = wanted_s(intent)
    if wanted <= 0:
        return start_s, None, f" No anticipation: {intent.name} leaves no time to prepare."
    travel_s = max(least_s, LEAST_TRAVEL_SHARE * intent.pose_ms / 1000)
    later_s = max(start_s, min(free_s + wanted, hit_s - travel_s))
    from_s = max(free_s, later_s - wanted)
    if later_s - from_s >= ANTICIPATION_S[0] - 0.004:
        return later_s, from_s, ""
    return start_s, None, " No anticipation: the thought before it leaves no room."


def breath_into(context: LineContext, start_s: float, hit_s: float) -> tuple[float, float] | None:
    """A heard in-breath that leads into an attitude: over as it starts, or while it is taken."""
    for event in context.events:
        near = start_s - BREATH_NEAR_S <= event.end_s <= hit_s + BREATH_NEAR_S
        if event.kind == "breath" and near and event.start_s <= start_s + BREATH_NEAR_S:
            return event.start_s, event.end_s
    return None
