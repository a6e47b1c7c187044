"""Looks: where the eyes go, and that they go first.

`hit` is the frame on which the eyes have arrived. Eyes lead the head by a frame or two (a rule of
style: in a natural task the eye was first in 15 % of moves, Herst et al. 2001). A look at a new
speaker starts 180-200 ms after the sound (review, J. Vision). Eyes that avoid the other come back
before the main accent, so that the point is made to someone, or only when it is said, where the
intent is ashamed of it. Where the eyes lead and nobody is named, the look asks where.
"""

from __future__ import annotations

from dataclasses import replace

from planner.plan.conflicts import Board
from planner.plan.context import LineContext, Span
from planner.plan.drafts import Draft
from planner.plan.listening import HeardLine, Listening
from planner.plan.suggestion import Why
from planner.plan.time_words import against, lasting
from planner.rules import rule
from planner.rules._listening_life import CERTAINTY, Life, lives
from planner.rules._listening_life import SIZE as LIFE_SIZE
from planner.rules._words import COMMON, GAZE_WORDS

DART_S = 0.085  # 2 frames at 24 from one place to the other
LEAD_S = 0.042  # the eyes are there a frame before the head starts
LATENCY_S = 0.19  # eye starts 180-200 ms after a target (review, J. Vision)
AVOID_S = 0.6  # a look away shorter than this is a twitch
BACK_S = 0.1  # eyes are back this long before the main accent hits
AFTER_S = 0.17  # 4 frames at 24: eyes that come back only when it has been said
SIZE = 0.4
TAKING_IN_S = 0.29  # 7 frames at 24
LATE_S = 0.125  # 3 frames at 24 after the head has left its hit
ASIDE_S = 0.33  # 8 frames at 24
APART_S = 0.5  # two looks are two thoughts
LONGEST_THINKING_S = 2.0
PLANS_UP = 0.45  # energy; under it the words are looked for below
WHERE = "somewhere (toward: would name it)"


@rule("look", order=45)
def looks(context: LineContext, board: Board) -> list[Draft]:
    """At whom a beat is said, when that is new; away and back where the intent avoids the eye."""
    found: list[Draft] = []
    facing = context.inputs.facing
    for span in context.spans:
        pose = next((d for d in board.kind("pose") if d.span == span.number - 1), None)
        if pose is None:
            continue
        avoids = _away_and_back(context, span, pose, board) if span.intent.gaze != "hold" else []
        arrives = pose.end_s > pose.start_s
        if span.toward and span.toward != facing and arrives and not avoids:
            found.append(_toward(context, span, pose, board))
        elif span.intent.lead == "eyes" and span.intent.gaze == "hold" and arrives:
            found.append(_lead(context, span, pose, board))
        facing = span.toward or facing
        found += avoids
        if span.intent.off_beat == "late look":
            found += _late(context, span, board)
    return found + _thinks(context, board, found)


def _thinks(context: LineContext, board: Board, others: list[Draft]) -> list[Draft]:
    """Eyes that leave to plan a long phrase after a pause and are back before its point."""
    found: list[Draft] = []
    for phrase in context.phrases[1:]:
        span = context.span_of(phrase.first)
        main = None if phrase.main is None else context.syllables[phrase.main]
        intent = span.intent
        if main is None or intent.stares or intent.gaze != "hold" or phrase.number % 2:
            continue
        away_s = context.phrases[phrase.number - 2].end_s + DART_S
        back_s = main.beat_s - BACK_S - DART_S
        apart = all(d.start_s > back_s + APART_S or d.leaves_s < away_s - APART_S
                    for d in (*others, *found))  # fmt: skip
        if not apart or back_s - away_s < AVOID_S or back_s - away_s > LONGEST_THINKING_S:
            continue
        where = "up and off" if intent.energy_ratio >= PLANS_UP else "down"
        back = "back for the point" + (f', "{main.word}"' if main.word else "")
        made = _look(
            context, span, f"p{phrase.number - 1}", context.syllables[phrase.first].word,
            away_s + DART_S, f"{where}, and back",
            Why(
                f"a phrase of {lasting(phrase.end_s - phrase.start_s)} is planned in the pause "
                "before it",
                f"{intent.said}: the eyes go {where} for the words, {back}",
                "Off the other while it is thought out, home before it is said with weight.",
                "speakers look away as they begin and back as they end (Kendon 1967)",
            ),
            context.pose_of(span) or "",
        )  # fmt: skip
        keys = ((away_s, 0.0), (away_s + DART_S, 1.0), (back_s, 1.0), (back_s + DART_S, 0.0))
        found.append(replace(made, end_s=back_s + DART_S, keys=keys))
    return found


def _late(context: LineContext, span: Span, board: Board) -> list[Draft]:
    """A look aside after the beat's last main accent: the idea comes late, and off the beat."""
    hits = [d for d in board.kind("accent") if d.span == span.number - 1 and d.must]
    if not hits:
        return []
    hit = max(hits, key=lambda d: d.start_s)
    poses = [d.start_s for d in board.kind("pose") if d.span > span.number - 1]
    at_s = hit.leaves_s + LATE_S
    back_s = at_s + DART_S + ASIDE_S
    if back_s + DART_S > min([*poses, board.high_s]):
        return []
    aside = context.sides.away(span.toward) if span.toward else "to the side"
    made = _look(
        context, span, hit.anchor, hit.text, at_s + DART_S, f"aside, {aside}, and back",
        Why(
            f'after the accent on "{hit.text}"' if hit.text else "after the accent",
            f"{span.intent.said}: a late look, off the beat",
            "Play it after the word, not on it: aside, and back to see whether it was noticed.",
            COMMON,
        ),
        hit.id,
    )  # fmt: skip
    keys = ((at_s, 0.0), (at_s + DART_S, 1.0), (back_s, 1.0), (back_s + DART_S, 0.0))
    return [replace(made, end_s=back_s + DART_S, keys=keys)]


def _lead(context: LineContext, span: Span, pose: Draft, board: Board) -> Draft:
    """The eyes of an intent that leads with them, where they have no new person to go to."""
    arrive_s = max(pose.start_s - LEAD_S + DART_S / 2, board.low_s + DART_S)
    sides = context.sides
    why = Why(
        f"{context.quoted(span)} starts at {context.said_s(context.span_start_s(span))}",
        f"{span.intent.said}: the eyes lead", _lead_does(span.toward), COMMON,
    )  # fmt: skip
    return _look(context, span, f"b{span.number}", pose.text, arrive_s,
                 sides.toward(span.toward) if span.toward else WHERE, why, pose.id)  # fmt: skip


def _lead_does(toward: str | None) -> str:
    if toward:
        return "The eyes are there already: they fix and open a frame before the head goes."
    return "The eyes go first, to what it is about; the beat names nobody: say it with toward:."


def _look(
    context: LineContext, span: Span, anchor: str, text: str, arrive_s: float, direction: str,
    why: Why, rides_on: str,
) -> Draft:  # fmt: skip
    return context.draft(
        "look", "eyes", anchor, span=span, text=text,
        at_s=(arrive_s - DART_S, arrive_s, arrive_s), size=SIZE, direction=direction, path="dart",
        because=why, rides_on=rides_on, ease="quadratic-out", least_s=0.0, certainty=0.7,
    )  # fmt: skip


def _toward(context: LineContext, span: Span, pose: Draft, board: Board) -> Draft:
    turn = next((d for d in board.kind("head-move") if d.anchor == f"b{span.number}"), None)
    first = min([pose, turn] if turn else [pose], key=lambda d: d.start_s)
    arrive_s = max(first.start_s - LEAD_S + DART_S / 2, board.low_s + DART_S)
    why = Why(
        f"{context.quoted(span)} is said to {span.toward}",
        f"{span.intent.said}: speaks to {span.toward}",
        "Eyes first: they leave before the head and have arrived as it starts.",
        "style rule (common practice); Herst et al. 2001 find eyes first in 15 %",
    )
    return _look(context, span, f"b{span.number}", pose.text, arrive_s,
                 context.sides.toward(span.toward), why, (turn or pose).id)  # fmt: skip


def _away_and_back(context: LineContext, span: Span, pose: Draft, board: Board) -> list[Draft]:
    """Away as the attitude is taken, back before the beat's main accent."""
    hits = [d for d in board.kind("accent") if d.span == span.number - 1 and d.must]
    away_s = pose.start_s
    if span.intent.pose_arrives != "before":  # the eyes do not wait for a late body
        away_s = min(away_s, context.span_start_s(span))
    away_s = max(away_s, board.low_s + DART_S)
    after = span.intent.gaze_back == "end"
    if after:
        hits = []
        back_s = min(context.span_end_s(span) + AFTER_S, board.high_s)
    else:
        back_s = (hits[-1].hit_s or 0.0) - BACK_S if hits else context.span_end_s(span) - BACK_S
    if back_s - away_s < AVOID_S:
        return []
    gaze, intent = span.intent.gaze, span.intent
    off = context.sides.away(span.toward) if span.toward else "off to the side"
    where = GAZE_WORDS.get(gaze, off)
    again = context.sides.toward(span.toward) if span.toward else "back again"
    out = Why(
        f"{context.quoted(span)} starts at {context.said_s(context.span_start_s(span))}",
        f"{intent.said}: the eyes go {where}",
        "The eyes leave as the thought is taken up; the head needs not follow.", COMMON,
    )  # fmt: skip
    anchor, text = (hits[-1].anchor, hits[-1].text) if hits else (
        context.syllables[span.last].anchor, context.syllables[span.last].word)  # fmt: skip
    when = "after" if after else "before"
    back = Why(
        f'before the main accent "{text}"' if hits else f'{when} the beat ends on "{text}"',
        f"{intent.said}: dares to look only when it is said" if after
        else f"{intent.said}: comes back to make the point",
        "Say it without the other's eyes, then look what it has done." if after
        else "Eyes are back just before the hit, so that it is said to someone.", COMMON,
    )  # fmt: skip
    away = _look(context, span, f"b{span.number}", pose.text, away_s, where, out, pose.id)
    # Eyes that have just answered a cue that way are there already.
    answered = span.number == 1 and any(r.intent.gaze == gaze for r in context.reactions)
    return [
        *([] if answered else [away]),
        _look(context, span, anchor, text, back_s, again, back,
              hits[-1].id if hits else pose.id),
    ]  # fmt: skip


@rule("look", order=45, of="listening")
def looks_of_listener(listening: Listening, board: Board) -> list[Draft]:
    """To whoever starts to speak, where the eyes are not there already; first in an answer."""
    found = [*_of_beats(listening, board), *_of_answers(listening, board)]
    found += [_taking_in(listening, x) for x in lives(listening, board) if x.part == "eyes"]
    facing = listening.facing
    for heard in listening.heard:
        start_s = heard.start_s + LATENCY_S
        if heard.who != facing and listening.start_s <= start_s:
            found.append(_to_speaker(listening, heard, start_s, facing))
        facing = heard.who
    return found


def _of_beats(listening: Listening, board: Board) -> list[Draft]:
    """Eyes first into an attitude taken in silence, where its intent leads with them."""
    found: list[Draft] = []
    poses = {d.beat: d for d in board.kind("pose")}
    for beat in listening.beats:
        pose, intent = poses.get(beat.beat), beat.intent
        if pose is None or (intent.lead != "eyes" and intent.gaze == "hold"):
            continue
        to = listening.sides.toward(beat.toward) if beat.toward else WHERE
        if intent.gaze != "hold":
            to = GAZE_WORDS.get(intent.gaze, "off to the side")
        arrive_s = max(pose.start_s - LEAD_S + DART_S / 2, listening.start_s + DART_S)
        why = Why(f"{listening.who} takes up the beat", f"{intent.said}: the eyes lead",
                  _lead_does(beat.toward) if intent.gaze == "hold"
                  else "The eyes go first; the head needs not follow.", COMMON)  # fmt: skip
        found.append(
            replace(
                pose, kind="look", part="eyes", start_s=arrive_s - DART_S, hit_s=arrive_s,
                end_s=arrive_s, size=SIZE, direction=to, path="dart", because=why,
                ease="quadratic-out", must=False, certainty=0.7, rides_on=pose.id,
            )
        )  # fmt: skip
    return found


def _of_answers(listening: Listening, board: Board) -> list[Draft]:
    """Eyes that leave before the head answers, where the intent does not hold the other's eye."""
    answers = {f"c{r.cue + 1}": r for r in listening.reactions}
    found: list[Draft] = []
    for move in board.kind("reaction"):
        answer = answers[move.anchor]
        if answer.intent.gaze == "hold":
            continue
        start_s = answer.start_s
        found.append(
            replace(
                move, kind="look", part="eyes", start_s=start_s, hit_s=start_s + DART_S,
                end_s=start_s + DART_S, size=SIZE, path="dart", keys=(), least_s=0.0,
                direction=GAZE_WORDS.get(answer.intent.gaze, "off to the side"),
                because=Why(move.because.sound, f"{answer.intent.said}: the eyes leave first",
                            "The eyes answer before anything else moves.", COMMON),
                ease="quadratic-out", rides_on=move.id,
            )
        )  # fmt: skip
    return found


def _taking_in(listening: Listening, life: Life) -> Draft:
    """The eyes drop a little and come back: it has been taken in."""
    at_s = life.at_s
    away_s = at_s + DART_S + TAKING_IN_S
    keys = ((at_s, 0.0), (at_s + DART_S, 1.0), (away_s, 1.0), (away_s + DART_S, 0.0))
    return listening.draft(
        "look", "eyes", life.stress.anchor, of=life.heard, text=life.stress.word,
        at_s=(at_s, at_s + DART_S, away_s + DART_S), size=LIFE_SIZE, direction=life.direction,
        path="dart",
        because=Why(
            life.said,
            "listening: takes it in",
            "One small sign of life in a long hold, after it was understood; only if it is wanted.",
            COMMON,
        ),
        rides_on=listening.rides_on(), ease="quadratic-out", keys=keys, least_s=0.0,
        certainty=CERTAINTY,
    )  # fmt: skip


def _to_speaker(
    listening: Listening, heard: HeardLine, start_s: float, facing: str | None
) -> Draft:
    was = f"was with {facing}" if facing else "was elsewhere"
    return listening.draft(
        "look", "eyes", "w1s1", of=heard, text="",
        at_s=(start_s, start_s + DART_S, start_s + DART_S), size=SIZE,
        direction=listening.sides.toward(heard.who), path="dart",
        because=Why(
            f"{heard.who} starts to speak; {listening.who} {was}", "listening: eyes on the speaker",
            f"The eyes start {against(heard.start_s, 'start')} the first sound, not with it.",
            "eye movement 180-200 ms after a target (review, J. Vision)",
        ),
        rides_on=listening.rides_on(), ease="quadratic-out", least_s=0.0, certainty=0.7,
    )  # fmt: skip
