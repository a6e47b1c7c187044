"""Poses: one attitude a beat, changed where the thought changes.

`hit` is the frame on which the attitude is reached: at or before the first stressed word of the
beat, the body's lead ahead of it (common practice: more than the head's two frames). A beat that
opens the shot with no room to arrive starts in its attitude and holds it.
"""

from __future__ import annotations

from planner.intents import Intent
from planner.plan.conflicts import Board
from planner.plan.context import LineContext, Span, SyllableOn, keeps_attitude
from planner.plan.drafts import Draft
from planner.plan.suggestion import Why
from planner.plan.time_words import against, own
from planner.rules import rule
from planner.rules._preparing import PREPARED_POSE, room_for_pose
from planner.rules._words import COMMON, direction_of_lean

FRAME_S = 1 / 24  # the frame on which a word ends still belongs to it
LATEST_STRESS_S = 0.5  # 12 frames at 24 after a beat begins no body waits for its stress any more
DELAYED_S = 5 / 24  # after the stress, where the intent is late with its body
LEAST_S = 0.084  # 2 frames at 24: one drawing between; less is a cut
COMFORTABLE_S = 0.21  # 5 frames at 24: with less room the pose gives up its lead on the sound
SHORT_SHARE = 0.6  # of the intent's own travel; with less the plan says so
FACE_FIRST_S = 0.085  # 2 frames at 24
ABUTS_S = 0.15  # an event as near to a word belongs to the silence beside it
SAME_SHARE = 0.35  # of the size, where the attitude already holds and is only taken further
HELD = "still"  # the path of an attitude that is there as the shot opens
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
        found.append(_pose(context, span, start_s, hit_s, board, last_hit_s))
        last_hit_s = hit_s
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
    due_s = stress.beat_s if stress else begin_s + travel_s
    least_s = least_change_s(context)
    if span.number == 1 and short_of_s(context, due_s - lead_s) > 0:
        return context.window_s[0], context.window_s[0]
    free_s = free_from_s(context, span)
    if last_hit_s is not None:
        free_s = max(free_s, min(last_hit_s + SHORTEST_ATTITUDE_S, due_s - LEAST_S))
    wanted_s = begin_s - lead_s
    if stress and stress.main:
        wanted_s = min(wanted_s, _preparation_s(intent, stress))
    hit_s = min(max(wanted_s, free_s + travel_s), due_s - lead_s)
    # With little room the lead is spent first, down to arriving with the vowel; then the travel.
    hit_s = min(max(hit_s, free_s + COMFORTABLE_S), due_s)
    hit_s = _arriving(context, span, stress, hit_s)
    start_s = min(max(free_s, hit_s - travel_s), hit_s - least_s)
    start_s = max(start_s, context.window_s[0], last_hit_s or context.window_s[0])
    return start_s, max(hit_s, start_s + least_s)


def least_change_s(context: LineContext) -> float:
    """Three exposures: a whole body changed in fewer is a cut."""
    step = context.inputs.step
    return context.inputs.exposure_s * (3 + (1 / step if step > 1 else 0.0))


def _arriving(context: LineContext, span: Span, stress: SyllableOn | None, hit_s: float) -> float:
    """The arrival as the intent has it: ahead of its first stress, with it, or after it.

    A beat of a word or two has no time for that, nor one that opens after another with no gap.
    """
    arrives, end_s = span.intent.pose_arrives, context.span_end_s(span)
    if arrives == "before" or stress is None or span.last - span.first < 3:
        return hit_s
    late_s = min(stress.beat_s, context.span_start_s(span) + LATEST_STRESS_S)
    late_s += 0.0 if arrives == "with" else DELAYED_S
    return max(hit_s, min(late_s, end_s - DELAYED_S))


def _preparation_s(intent: Intent, stress: SyllableOn) -> float:
    """When the anticipation of a main accent starts: with room, the attitude stands by then."""
    before_ms = intent.lead_head_ms + intent.attack_ms + intent.anticipation_ms
    return stress.beat_s - before_ms / 1000


def free_from_s(context: LineContext, span: Span) -> float:
    """From when the body may take up a beat: the thought before it has been said and heard out.

    Its last stressed word is over; a laugh or a sigh in the silence before has emptied; a body
    that is to go down does not start against an in-breath, which lifts it.
    """
    bound_s = [context.window_s[0]]
    if span.number == 1:
        # Where the line itself is the answer to a cue, the eyes and brows show it first.
        answers = [r.start_s + FACE_FIRST_S for r in context.reactions]
        bound_s += [s for s in answers if s < context.span_start_s(span)]
    else:
        bound_s.append(_said_s(context, context.spans[span.number - 2]))
    begin_s = context.span_start_s(span)
    spoken_s = context.syllables[span.first - 1].end_s if span.first else context.window_s[0]
    sinks = direction_of_lean(context, span) == "down"
    for event in context.events:
        between = event.end_s <= begin_s + ABUTS_S and event.start_s >= spoken_s - ABUTS_S
        if between and (event.kind != "breath" or sinks):
            bound_s.append(max([event.end_s, *event.bursts_s]))
    return max(bound_s)


def _said_s(context: LineContext, span: Span) -> float:
    """A frame after a beat's last stressed word; without one, the middle of the beat."""
    inside = context.in_span(span)
    for degree in ("strong", "light"):
        stressed = [s for s in inside if s.degree == degree]
        if stressed:
            return stressed[-1].word_s[1] + FRAME_S
    return inside[len(inside) // 2].beat_s


def short_of_s(context: LineContext, latest_s: float | None = None) -> float:
    """What a line that opens the shot lacks before it to arrive in its attitude by `latest_s`.

    latest_s : the body's lead ahead of the first stress, if not given. 0 where there is room.
    """
    intent = context.spans[0].intent
    if latest_s is None:
        stress = first_stress(context, context.spans[0])
        due_s = stress.beat_s if stress else intent.pose_ms / 1000
        latest_s = due_s - intent.lead_body_ms / 1000
    needed_s = (intent.pose_ms + intent.anticipation_ms) / 1000
    lacking_s = needed_s - (latest_s - context.window_s[0])
    return max(0.0, lacking_s) if context.inputs.opens_shot else 0.0


def held_from_open(board: Board) -> bool:
    """Whether the shot opens in its first attitude: nothing of the body moves into it."""
    first = next(iter(board.kind("pose")), None)
    return first is not None and first.path == HELD


def _pose(
    context: LineContext, span: Span, start_s: float, hit_s: float, board: Board,
    last_hit_s: float | None,
) -> Draft:  # fmt: skip
    intent = span.intent
    stress = first_stress(context, span)
    words = context.quoted(span)
    begins = context.said_s(context.span_start_s(span))
    sound = f"the thought starts with {words} at {begins}"
    if stress and stress.word:
        strong = "strong " if stress.degree == "strong" else ""
        sound += f'; its first {strong}stress is "{stress.word}" at {context.said_s(stress.beat_s)}'
    again = goes_on(context, span)
    size = intent.sized(intent.pose_size) * (SAME_SHARE if again else 1.0)
    prepared_s, said = None, ""
    if size >= PREPARED_POSE and start_s < hit_s:
        free_s = max(free_from_s(context, span), last_hit_s or context.window_s[0])
        start_s, prepared_s, said = room_for_pose(
            context, intent, min(free_s, start_s), start_s, hit_s, least_change_s(context)
        )
    wants = f"{intent.said}: {intent.attitude}{_tilt(context, span)}"
    if again:
        wants = f"{intent.said} already: the same attitude, taken a little further"
    return context.draft(
        "pose", "whole", f"b{span.number}", span=span,
        text=context.in_span(span)[0].word, at_s=(start_s, hit_s, hit_s), size=size,
        direction=direction_of_lean(context, span), path=_path(intent, start_s, hit_s),
        because=Why(sound, wants, _does(
            context, span, start_s if prepared_s is None else prepared_s, hit_s, board
        ) + said, COMMON),
        prepared_from_s=prepared_s,
        ease=intent.ease, least_s=0.0, must=True,
        starts_from_s=free_from_s(context, span) if span.number > 1 else None,
    )  # fmt: skip


def _path(intent: Intent, start_s: float, hit_s: float) -> str:
    if start_s == hit_s:
        return HELD
    return "snap" if intent.path == "snap" else "arc"


def goes_on(context: LineContext, span: Span) -> bool:
    """Whether the attitude before is the same one: then it grows instead of being struck again."""
    if span.number > 1:
        before = context.spans[span.number - 2]
        return (before.intent.name, before.toward) == (span.intent.name, span.toward)
    earlier = context.inputs.before
    return (
        earlier is not None and bool(earlier.pose_id)
        and (earlier.intent, earlier.toward) == (span.intent.name, span.toward)
    )  # fmt: skip


def _does(context: LineContext, span: Span, start_s: float, hit_s: float, board: Board) -> str:
    """What to do, and where there was less room than wanted."""
    if start_s == hit_s:
        return (
            "Open the shot in the attitude, held from the first frame: nothing moves into it, and "
            "nothing is prepared under it. There is no room to arrive before the first stress."
        )
    free_s = free_from_s(context, span)
    does = "One attitude a beat, reached ahead of its first stress; the hits ride on it."
    stress = first_stress(context, span)
    if stress and hit_s > stress.beat_s + FRAME_S:
        does = (f"The face says it first; the body arrives {against(stress.beat_s)} "
                f'"{stress.word}": a delayed pose.')  # fmt: skip
    if hit_s - start_s < SHORT_SHARE * span.intent.pose_ms / 1000:
        does += f" Only {own('in')} to get there: hardly an inbetween."
    if span.number > 1 and start_s < free_s - FRAME_S:
        does += " It starts while the last stress before it still sounds: there is no gap."
    waits = [e for e in context.events if abs(max([e.end_s, *e.bursts_s]) - start_s) < 1e-6]
    if waits:
        does += f" It waits for the {waits[0].kind} to be over."
    planted = board.planted_during(start_s, max(hit_s, start_s + 0.01))
    if planted:
        does += f" Planted, so it stays where it is: {', '.join(planted)}."
    return does


def _tilt(context: LineContext, span: Span) -> str:
    """The head's tip in the attitude, with its side if the stage names it."""
    intent = span.intent
    if intent.tilt == "none" or not intent.tilt_degrees:
        return ""
    words = context.sides.toward if intent.tilt == "toward" else context.sides.away
    degrees = intent.sized(intent.tilt_degrees / 45) * 45
    where = f" {words(span.toward)}" if span.toward else ""
    return f"; head tipped {degrees:.0f} degrees{where}"
