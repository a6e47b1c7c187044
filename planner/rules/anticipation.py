"""Anticipations: back before forth, for main accents, for attitudes, for takes.

`hit` is the frame furthest back. Against the direction of what it prepares, on a curve. It may
start before the line; where there is not room enough it is shortened and says so, and with less
than about three frames at 24 there is none. Before the key word of an intent that freezes, the
head is held furthest back for three or four frames; where nothing is prepared it stops for as long.
An in-breath is the anticipation of the attitude it leads into (`planner.rules.breath` says so).
"""

from __future__ import annotations

from dataclasses import replace

from planner.plan.conflicts import Board
from planner.plan.context import LineContext, peak_of
from planner.plan.drafts import Draft
from planner.plan.listening import Listening
from planner.plan.suggestion import Why
from planner.plan.time_words import own
from planner.rules import rule
from planner.rules._preparing import PREPARED_POSE, prepared_share
from planner.rules._words import COMMON, opposite
from planner.rules.pose import SHORTEST_ATTITUDE_S, held_from_open

LEAST_S = 0.12  # about 3 frames at 24; a shorter way back reads as a jerk
PREPARED_SIZE = 0.3  # a smaller nod is struck; preparing it would make it more than it is
STILL_S = 0.02
LEAST_SIZE = 0.06  # smaller ones cannot be seen; the voice prepares the hit
PREPARES_IN = {"head": "head", "chest": "chest"}  # a hand's lift is its own preparation
FREEZE_LEAST_S = 0.12  # 3 frames at 24; a shorter stop is a hitch


@rule("anticipation", order=30)
def anticipations(context: LineContext, board: Board) -> list[Draft]:
    """One before each attitude and each main accent that has the room; stops before key words."""
    found = [_of_pose(context, d) for d in board.kind("pose") if d.prepared_from_s is not None]
    mains = {s.anchor: s for s in context.syllables if s.main}
    for hit in sorted(board.kind("accent"), key=lambda d: d.start_s):
        if hit.anchor not in mains:
            continue
        made = _of_accent(context, board, hit, found, _freeze_s(context, hit))
        if made is None and _freeze_s(context, hit):
            made = _stop(context, board, hit, found)
        found += [made] if made else []
    return found


def _of_accent(
    context: LineContext, board: Board, hit: Draft, found: list[Draft], freeze_s: float
) -> Draft | None:
    """The preparation of a main accent, held before a key word; None where it is not worth it."""
    intent = context.spans[hit.span].intent
    wanted_s, part = intent.anticipation_ms / 1000, PREPARES_IN.get(hit.carrier or "head")
    if part is None or wanted_s <= 0 or intent.anticipation_ratio <= 0:
        return None
    if hit.size < PREPARED_SIZE or hit.size * intent.anticipation_ratio < LEAST_SIZE:
        return None
    free_s = _free_since(board, hit, found)
    room_s = hit.start_s - free_s
    held_s = freeze_s if room_s >= freeze_s + LEAST_S else 0.0
    start_s = max(hit.start_s - held_s - wanted_s, free_s)
    if hit.start_s - held_s - start_s < LEAST_S:
        return None
    return _anticipation(context, hit, (start_s, hit.start_s - held_s), wanted_s, part)


def _freeze_s(context: LineContext, hit: Draft) -> float:
    """How long all stops before a hit: on the line's peak, or a beat's only main accent."""
    span = context.spans[hit.span]
    if span.intent.freeze_ms <= 0 or hit.carrier == "stillness":
        return 0.0
    peak = peak_of(context.syllables)
    mains = [s for s in context.in_span(span) if s.main]
    key = peak is not None and context.syllables[peak].anchor == hit.anchor
    return span.intent.freeze_ms / 1000 if key or len(mains) == 1 else 0.0


def _free_since(board: Board, hit: Draft, found: list[Draft]) -> float:
    """Since when the head is free before an accent: other hits on their way, and attitudes."""
    ends = [d.leaves_s for d in board.kind("accent") if d.start_s < hit.start_s
            and d.part in ("head", "chest", hit.part)]  # fmt: skip
    ends += [d.end_s for d in board.moves("whole", "head") if d.start_s < hit.start_s]
    ends += [d.end_s for d in found if d.start_s < hit.start_s]
    if held_from_open(board):
        ends.append(board.low_s + SHORTEST_ATTITUDE_S)  # what the shot opens on is seen first
    return max([*ends, board.low_s])


def _anticipation(
    context: LineContext, hit: Draft, back_s: tuple[float, float], wanted_s: float, part: str,
) -> Draft:  # fmt: skip
    span = context.spans[hit.span]
    intent = span.intent
    given_s, held_s = back_s[1] - back_s[0], hit.start_s - back_s[1]
    does = f"Back for {own('in')} before the hit, against its direction."
    if held_s:
        does = f"Back for {own('in')}, stop there for {own('stay')}, then the word."
    if given_s < wanted_s - 0.005:
        does += " Shorter than it wants to be: there is no more room before it."
    word = f' "{hit.text}"' if hit.text else ""
    sound = f"the {part} is free before the main accent{word}"
    keys = ((back_s[0], 0.0), (back_s[1], 1.0), (hit.start_s, 1.0)) if held_s else ()
    return context.draft(
        "anticipation", part, hit.anchor, span=span, text=hit.text,
        at_s=(back_s[0], back_s[1], hit.start_s),
        size=min(1.0, hit.size * intent.anticipation_ratio), direction=opposite(hit.direction),
        path="arc",
        because=Why(sound, f"{intent.said}: prepares {intent.anticipation_ratio:.2f} of the hit"
                    + (", and waits" if held_s else ""), does, COMMON),
        ease="sine", least_s=LEAST_S - STILL_S, before=hit.id, keys=keys, must=bool(held_s),
    )  # fmt: skip


def _stop(context: LineContext, board: Board, hit: Draft, found: list[Draft]) -> Draft | None:
    """All stops before a key word that nothing prepares; None where something still moves."""
    span = context.spans[hit.span]
    start_s = hit.start_s - span.intent.freeze_ms / 1000
    start_s = max(start_s, _free_since(board, hit, found))
    if hit.start_s - start_s < FREEZE_LEAST_S:
        return None
    word = f' "{hit.text}"' if hit.text else ""
    return context.draft(
        "hold", "head", hit.anchor, span=span, text=hit.text,
        at_s=(start_s, None, hit.start_s), size=0.01, direction="still", path="still",
        because=Why(
            f"the key word{word} comes {own('lasts')} later",
            f"{span.intent.said}: stops before it",
            "Nothing moves, not even the ease of a hold: the stop makes room for the word.", COMMON,
        ),
        ease="linear", least_s=FREEZE_LEAST_S - STILL_S, certainty=0.7,
    )  # fmt: skip


def _of_pose(context: LineContext, pose: Draft) -> Draft:
    """The preparation of a change of attitude, in the room that its rule has left for it."""
    span = context.spans[pose.span]
    start_s = pose.start_s if pose.prepared_from_s is None else pose.prepared_from_s
    end_s = pose.start_s
    return context.draft(
        "anticipation", "whole", pose.anchor, span=span, text=pose.text,
        at_s=(start_s, end_s, end_s), size=max(0.02, pose.size * prepared_share(span.intent)),
        direction=way_back(context, pose), path="arc",
        because=Why(
            "the body is free before the attitude",
            f"{span.intent.said}: prepares {prepared_share(span.intent):.2f} of the change",
            f"Weight first, {own('in')} the other way, under and through.", COMMON,
        ),
        ease="sine", least_s=LEAST_S - STILL_S, certainty=0.7,
        via=f"weight first, under, then {pose.direction}",
    )  # fmt: skip


def way_back(context: LineContext | Listening, pose: Draft) -> str:
    """Against a change of attitude: away before toward, up before down."""
    if pose.direction.startswith("toward"):
        return pose.direction.replace("toward", "back from", 1)
    if pose.direction.startswith("away from"):
        return "toward" + pose.direction.removeprefix("away from").split(" (")[0]
    return "down" if pose.direction == "level" else opposite(pose.direction)


@rule("anticipation", order=20, of="listening")
def anticipations_of_listener(listening: Listening, board: Board) -> list[Draft]:
    """Before a take and before an attitude taken in silence, where their rules left the room."""
    found: list[Draft] = []
    intents = {f"c{r.cue + 1}": r.intent for r in listening.reactions}
    intents |= {f"b{b.beat + 1}": b.intent for b in listening.beats}
    for move in [*board.kind("reaction"), *board.kind("pose")]:
        if move.prepared_from_s is None:
            continue
        intent = intents[move.anchor]
        direction = move.direction.split(",", maxsplit=1)[0]
        back = opposite(direction) if move.kind == "reaction" else way_back(listening, move)
        found.append(
            replace(
                move, kind="anticipation", start_s=move.prepared_from_s, hit_s=move.start_s,
                end_s=move.start_s, size=max(0.02, move.size * prepared_share(intent)),
                direction=back, keys=(), path="arc", prepared_from_s=None, must=False, via="",
                because=Why(
                    move.because.sound, f"{intent.said}: prepares the "
                    f"{'take' if move.kind == 'reaction' else 'attitude'}",
                    f"{own('in')} the other way first: what "
                    "comes is bigger for it.", COMMON,
                ),
                ease="sine", least_s=LEAST_S - STILL_S, certainty=0.6,
            )
        )  # fmt: skip
    return found


__all__ = ["PREPARED_POSE", "anticipations", "anticipations_of_listener", "way_back"]
