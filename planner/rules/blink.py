"""Blinks: at changes of thought, with turns of the head, at the ends of phrases; at human rates.

`hit` is the frame on which the lids are closed. Talking people blink 26 times a minute (Bentivoglio
et al. 1997; 95 % between 10.5 and 32.5, Doughty 2001); the intent scales the shortest interval.
Shutting takes about 80 ms, the whole less than half a second (Stern et al. 1984). A listener blinks
0.25-0.5 s after the speaker's blink at ends and pauses (Nakano & Kitazawa 2010).
"""

from __future__ import annotations

from planner.plan.conflicts import Board
from planner.plan.context import LineContext, Span
from planner.plan.drafts import Draft
from planner.plan.listening import Heard, Listening
from planner.plan.suggestion import Why
from planner.plan.time_words import against
from planner.rules import rule
from planner.rules._silence import silence_said
from planner.rules._thought import BLINK_GAP_S, changes
from planner.rules._vary import between, share_of
from planner.rules._words import COMMON

DOWN_S = 0.083  # 2 frames at 24; a willed blink closes in 78 ms (scleral coil study)
SHUT_S = 0.042  # one frame
UP_S = 0.125  # 3 frames: about 100 ms (Stern et al. 1984)
HIT_CLEAR_S = 0.15  # never through a main accent: the eyes make the point too
PAUSE_S = 0.3  # a phrase end with less silence than this is no place to blink
NEXT_LINE_S = 0.75  # after the line: with less before the next one, that one may blink
CLEAR_OF_LINE_S = 0.9  # a listener's blink keeps away from the blinks of the own lines
LISTENER_S = (0.25, 0.5)  # s after the phrase end (Nakano & Kitazawa 2010)
GOES_BY_SHARE = 0.3  # of the phrases heard, but for the first: not each is answered by the lids
NEW_THOUGHT_S = 0.25  # before an answer the eyes stay open
LATER_S = (0.0, 0.085)  # up to 2 frames after the body has started: the lids close on the way
AFTER_END_S = (0.08, 0.33)  # 2-8 frames at 24 after a phrase of one's own
SIZE = 1.0


@rule("blink", order=85)
def blinks(context: LineContext, board: Board) -> list[Draft]:
    """Candidates in order of meaning, kept as far apart as people blink."""
    found: list[Draft] = []
    for draft in [*_at_changes(context, board), *_at_turns(context, board), *_at_ends(context)]:
        span = context.spans[draft.span]
        gap_s = BLINK_GAP_S / max(span.intent.blink_rate_ratio, 0.2)
        closed_s = draft.hit_s or 0.0
        clear = all(abs(closed_s - (o.hit_s or 0.0)) >= gap_s for o in found)
        hits = [d.hit_s or 0.0 for d in board.kind("accent") if d.must]
        if clear and all(abs(closed_s - h) >= HIT_CLEAR_S for h in hits):
            found.append(draft)
    return found


def blink_keys(closed_s: float) -> tuple[tuple[float, float], ...]:
    """Open, closed, still closed, open: (seconds, share)."""
    return (
        (closed_s - DOWN_S, 0.0), (closed_s, 1.0), (closed_s + SHUT_S, 1.0),
        (closed_s + SHUT_S + UP_S, 0.0),
    )  # fmt: skip


def _blink(
    context: LineContext, span: Span, anchor: str, text: str, closed_s: float, why: Why,
    rides_on: str | None,
) -> Draft:  # fmt: skip
    keys = blink_keys(closed_s)
    return context.draft(
        "blink", "lids", anchor, span=span, text=text, at_s=(keys[0][0], closed_s, keys[-1][0]),
        size=SIZE, direction="down", path="arc", because=why, rides_on=rides_on, ease="sine",
        keys=keys, least_s=0.0, certainty=0.6,
    )  # fmt: skip


def _at_changes(context: LineContext, board: Board) -> list[Draft]:
    return [
        _blink(
            context, c.span, f"b{c.span.number}", c.pose.text,
            _clear_of_hits(
                c.pose.start_s + DOWN_S + between(*LATER_S, context.inputs.line_id, c.words), board,
                c.pose.start_s,
            ),
            Why(
                f"the thought changes before {context.quoted(c.span)}",
                f"{c.span.intent.said}: {c.words}, marked by a blink",
                "Blink as the thought changes, on the way into the new attitude.", COMMON,
            ),
            c.pose.id,
        )
        for c in changes(context, board) if c.mark == "blink"
    ]  # fmt: skip


def _clear_of_hits(closed_s: float, board: Board, from_s: float) -> float:
    """The moment, or the nearest one that no main accent stands in the way of.

    Not before `from_s`, where that can be had: the thought before is heard out first.
    """
    hits = [d.hit_s or 0.0 for d in board.kind("accent") if d.must]
    edges = [h + side * (HIT_CLEAR_S + 1e-6) for h in hits for side in (-1, 1)]
    free = [
        t for t in (closed_s, *edges)
        if all(abs(t - h) >= HIT_CLEAR_S for h in hits) and t - DOWN_S >= board.low_s
    ]  # fmt: skip
    return min(free, key=lambda t: (t - DOWN_S < from_s - 1e-6, abs(t - closed_s)),
               default=closed_s)  # fmt: skip


def _at_turns(context: LineContext, board: Board) -> list[Draft]:
    """With a turn of the head toward someone else."""
    return [
        _blink(
            context, context.spans[d.span], d.anchor, d.text, d.start_s + DOWN_S,
            Why(d.because.sound, f"{context.spans[d.span].intent.said}: the head turns",
                "The lids close as the head turns and open on what it finds.", COMMON),
            d.id,
        )
        for d in board.kind("head-move") if d.anchor.startswith("b")
    ]  # fmt: skip


def _at_ends(context: LineContext) -> list[Draft]:
    """After a phrase, where there is silence enough."""
    found: list[Draft] = []
    for number, start_s, end_s in context.pauses():
        if end_s - start_s < (NEXT_LINE_S if number == len(context.phrases) else PAUSE_S):
            continue
        last = context.syllables[context.phrases[number - 1].last]
        span = context.span_of(last.index)
        why = Why(
            silence_said(context, number),
            f"{span.intent.said}: {span.intent.blink_rate_ratio:.1f}x the usual rate",
            "Blink where the phrase is over, not through it.",
            "26 blinks a minute in talk (Bentivoglio et al. 1997)",
        )
        after_s = between(*AFTER_END_S, context.inputs.line_id, number, last.word)
        after_s = min(after_s, end_s - start_s - UP_S)
        found.append(
            _blink(context, span, f"p{number}", last.word, start_s + after_s, why,
                   context.pose_of(span))
        )  # fmt: skip
    return found


@rule("blink", order=85, of="listening")
def blinks_of_listener(listening: Listening, board: Board) -> list[Draft]:
    """After some of the speaker's phrases: how late differs from phrase to phrase, some go by."""
    found: list[Draft] = []
    low_s = listening.start_s + (CLEAR_OF_LINE_S if listening.line_before else 0.3)
    high_s = listening.end_s - (CLEAR_OF_LINE_S if listening.line_after else 0.3)
    for heard in listening.heard:
        for k, end_s in enumerate(heard.phrase_ends_s):
            material = (listening.who, heard.line_id, k)
            after_s = between(*LISTENER_S, *material)
            closed_s = end_s + after_s
            apart = all(abs(closed_s - (d.hit_s or 0.0)) >= BLINK_GAP_S for d in found)
            goes_by = found and share_of("by", *material) < GOES_BY_SHARE
            if apart and low_s <= closed_s <= high_s and not goes_by and _at_rest(board, closed_s):
                found.append(_of_listener(listening, heard, k, closed_s, after_s))
    return found


def _at_rest(board: Board, closed_s: float) -> bool:
    """Whether no new thought is taken up just then: no answer, attitude, look or brow."""
    return all(
        closed_s <= d.start_s - (NEW_THOUGHT_S if d.kind in ("reaction", "pose") else DOWN_S)
        or closed_s >= (d.end_s if d.kind in ("reaction", "pose") else d.leaves_s)
        for d in board.placed
        if d.kind in ("reaction", "pose", "look", "brow")
    )


def _of_listener(
    listening: Listening, heard: Heard, phrase: int, closed_s: float, after_s: float
) -> Draft:
    keys = blink_keys(closed_s)
    return listening.draft(
        "blink", "lids", f"p{phrase + 1}", of=heard, text="",
        at_s=(keys[0][0], closed_s, keys[-1][0]), size=SIZE, direction="down", path="arc",
        because=Why(
            f"{heard.who}'s phrase ends", "listening",
            f"The listener blinks {against(closed_s - after_s)} the phrase's end, not "
            "always as late and not after each.", "0.25-0.5 s after (Nakano & Kitazawa 2010)",
        ),
        rides_on=listening.rides_on(), ease="sine", keys=keys, least_s=0.0, certainty=0.5,
    )  # fmt: skip
