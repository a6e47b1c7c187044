"""Poses: one attitude a beat, changed where the thought changes.

`hit` is the frame on which the attitude is reached: at or before the first stressed word of the
beat, the body's lead ahead of it (common practice: more than the head's two frames). A beat that
opens the shot with no room to arrive starts in its attitude.
"""

from __future__ import annotations

from planner.conflicts import Board
from planner.context import LineContext, Span, SyllableOn, keeps_attitude
from planner.drafts import Draft
from planner.intents import Intent
from planner.rules import rule
from planner.rules._words import COMMON, direction_of_lean
from planner.suggestion import Why

LEAST_S = 0.125  # 3 frames at 24: the shortest change that still reads as one
SHORT_SHARE = 0.6  # of the intent's own travel; with less the plan says so
AFTER_STRESS_S = 0.06  # the last stress of the thought before is seen first
BROWS_FIRST_S = 0.085  # 2 frames at 24
SHORTEST_ATTITUDE_S = 0.25  # an attitude stands at least this long before the next


@rule("pose", order=10)
def poses(context: LineContext, board: Board) -> list[Draft]:
    """One attitude a beat."""
    found: list[Draft] = []
    last_hit_s: float | None = None
    for span in context.spans:
        if keeps_attitude(context.inputs, span):
            continue
        start_s, hit_s = pose_times(context, span, last_hit_s)
        last_hit_s = hit_s
        found.append(_pose(context, span, start_s, hit_s, board))
    return found


def first_stress(context: LineContext, span: Span) -> SyllableOn | None:
    """The beat's first strong stress, else its first light one."""
    inside = context.in_span(span)
    for degree in ("strong", "light"):
        for syllable in inside:
            if syllable.degree == degree:
                return syllable
    return None


def pose_times(context: LineContext, span: Span, last_hit_s: float | None) -> tuple[float, float]:
    """When the change of attitude starts and when it is reached."""
    intent = span.intent
    lead_s, travel_s = intent.lead_body_ms / 1000, intent.pose_ms / 1000
    begin_s = context.span_start_s(span)
    stress = first_stress(context, span)
    latest_s = (stress.beat_s if stress else begin_s + travel_s) - lead_s
    earliest_s = _earliest_s(context, span, last_hit_s)
    if span.number == 1 and _opens(context, latest_s):
        return context.window_s[0], context.window_s[0]
    wanted_s = begin_s - lead_s
    if stress and stress.main:
        wanted_s = min(wanted_s, _preparation_s(intent, stress))
    hit_s = min(max(wanted_s, earliest_s + travel_s), max(latest_s, earliest_s + LEAST_S))
    start_s = max(earliest_s, hit_s - travel_s)
    return start_s, max(hit_s, start_s + LEAST_S)


def _preparation_s(intent: Intent, stress: SyllableOn) -> float:
    """When the anticipation of a main accent starts: with room, the attitude stands by then."""
    before_ms = intent.lead_head_ms + intent.attack_ms + intent.anticipation_ms
    return stress.beat_s - before_ms / 1000


def _earliest_s(context: LineContext, span: Span, last_hit_s: float | None) -> float:
    """After the last strong stress of the thought before, and not on top of its attitude."""
    if span.number == 1:
        # Where the line itself is the answer to a cue, the brows show it before the body does.
        answers = [r.start_s + BROWS_FIRST_S for r in context.reactions]
        return max([context.window_s[0], *(s for s in answers if s < context.span_start_s(span))])
    before = context.in_span(context.spans[span.number - 2])
    strong = [s.beat_s for s in before if s.degree == "strong"]
    bound_s = strong[-1] + AFTER_STRESS_S if strong else before[len(before) // 2].beat_s
    return max(bound_s, (last_hit_s or context.window_s[0]) + SHORTEST_ATTITUDE_S)


def _opens(context: LineContext, latest_s: float) -> bool:
    """Whether the shot opens on this line with no room to travel into the attitude."""
    intent = context.spans[0].intent
    needed_s = (intent.pose_ms + intent.anticipation_ms) / 1000
    return context.inputs.opens_shot and latest_s - context.window_s[0] < needed_s


def _pose(context: LineContext, span: Span, start_s: float, hit_s: float, board: Board) -> Draft:
    intent = span.intent
    stress = first_stress(context, span)
    opening = start_s == hit_s
    words = context.quoted(span)
    sound = f"the thought starts with {words} at {context.said_s(context.span_start_s(span))}"
    if stress and stress.word:
        strong = "strong " if stress.degree == "strong" else ""
        sound += f'; its first {strong}stress is "{stress.word}" at {context.said_s(stress.beat_s)}'
    if opening:
        does = "Open the shot in the attitude: there is no room to arrive before the first stress."
    else:
        does = "One attitude a beat, reached ahead of its first stress; the hits ride on it."
    if not opening and hit_s - start_s < SHORT_SHARE * intent.pose_ms / 1000:
        does += f" Only {(hit_s - start_s) * 1000:.0f} ms to get there: hardly an inbetween."
    planted = board.planted_during(start_s, max(hit_s, start_s + 0.01))
    if planted:
        does += f" Planted, so it stays where it is: {', '.join(planted)}."
    tilt = _tilt(context, span)
    return context.draft(
        "pose", "whole", f"b{span.number}", span=span,
        text=context.in_span(span)[0].word, at_s=(start_s, hit_s, hit_s),
        size=intent.sized(intent.pose_size),
        direction=direction_of_lean(context, span), path="snap" if intent.path == "snap" else "arc",
        because=Why(sound, f"{intent.said}: {intent.attitude}{tilt}", does, COMMON),
        ease=intent.ease, least_s=0.0, must=True,
    )  # fmt: skip


def _tilt(context: LineContext, span: Span) -> str:
    """The head's tip in the attitude, with its side if the stage names it."""
    intent = span.intent
    if intent.tilt == "none" or not intent.tilt_degrees:
        return ""
    words = context.sides.toward if intent.tilt == "toward" else context.sides.away
    degrees = intent.sized(intent.tilt_degrees / 45) * 45
    where = f" {words(span.toward)}" if span.toward else ""
    return f"; head tipped {degrees:.0f} degrees{where}"
