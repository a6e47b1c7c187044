"""Blinks: at changes of thought, with turns of the head, at the ends of phrases; at human rates.

`hit` is the frame on which the lids are closed. Talking people blink 26 times a minute (Bentivoglio
et al. 1997; 95 % between 10.5 and 32.5, Doughty 2001); the intent scales the shortest interval.
Shutting takes about 80 ms, the whole less than half a second (Stern et al. 1984). A listener blinks
0.25-0.5 s after the speaker's blink at ends and pauses (Nakano & Kitazawa 2010).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from planner.plan.conflicts import Board
from planner.plan.context import LineContext, Span
from planner.plan.drafts import Draft
from planner.plan.listening import HeardLine, Listening
from planner.plan.suggestion import Why
from planner.plan.time_words import against
from planner.rules import rule
from planner.rules._silence import silence_said
from planner.rules._thought import BLINK_GAP_S, Change, changes
from planner.rules._vary import between, share_of
from planner.rules._words import COMMON

DOWN_S = 0.083  # 2 frames at 24; a willed blink closes in 78 ms (scleral coil study)
SHUT_S = 0.042  # one frame
UP_S = 0.125  # 3 frames: about 100 ms (Stern et al. 1984)
HIT_CLEAR_S = 0.15  # never through a main accent: the eyes make the point too
LONGEST_SHUT_S = 0.17  # of a slow blink
EARLIER_S = 0.17  # 4 frames at 24 before the body, with its anticipation
VOWEL_S = 0.12  # 3 frames at 24 into a stressed vowel
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
        stares = span.intent.stares and draft.anchor[0] == "p" and int(draft.anchor[1:]) % 3 > 0
        marks = "marked by" in draft.because.intent  # what marks a change of thought must be seen
        over = _over(closed_s, draft.leaves_s, _marks_s(context, board))
        if clear and not stares and (marks or not over):
            found.append(draft)
    return found


# Down, shut, up (seconds), how far, and how often: a blink is never like the last.
SHAPES: Mapping[str, tuple[float, float, float, float]] = {
    "usual": (DOWN_S, SHUT_S, UP_S, 1.0),
    "quick": (0.06, 0.0, 0.085, 1.0),
    "slow": (0.125, 0.085, 0.21, 1.0),
    "half": (0.083, 0.0, 0.125, 0.5),
    "double": (0.07, 0.02, 0.1, 1.0),
}
_ORDER = ("usual", "quick", "slow", "half", "usual", "double")
AGAIN_S = 0.21  # 5 frames at 24 from one closing to the next of a double blink


def _over(closed_s: float, leaves_s: float, marks_s: list[float]) -> bool:
    """Whether lids that are shut between two moments lie over a hit or a stressed vowel."""
    return any(m - HIT_CLEAR_S < leaves_s and m + VOWEL_S > closed_s - DOWN_S / 2 for m in marks_s)


def _marks_s(context: LineContext, board: Board) -> list[float]:
    """Moments that no closed lid may lie over: main hits, and the vowels of strong stresses."""
    hits = [d.hit_s or 0.0 for d in board.kind("accent") if d.must]
    return hits + [s.beat_s for s in context.syllables if s.degree == "strong"]


def blink_keys(closed_s: float, shape: str = "usual") -> tuple[tuple[float, float], ...]:
    """Open, closed, still closed, open: (seconds, share); twice for a double blink."""
    down_s, shut_s, up_s, _ = SHAPES[shape]
    once: tuple[tuple[float, float], ...] = (
        (closed_s - down_s, 0.0), (closed_s, 1.0), (closed_s + shut_s, 1.0),
        (closed_s + shut_s + up_s, 0.0),
    )  # fmt: skip
    if shape == "double":
        once = (*once[:3], *blink_keys(closed_s + AGAIN_S))
    return tuple(k for i, k in enumerate(once) if i == 0 or k[0] > once[i - 1][0])


def shape_of(*material: object, surprised: bool = False) -> str:
    """How a blink is shut, by the material alone."""
    if surprised:
        return "quick"
    place = sum(int(c) for m in material for c in str(m) if c.isdigit())
    return _ORDER[(int(share_of("lids", material[0]) * len(_ORDER)) + place) % len(_ORDER)]


_SAID = {"usual": "", "quick": "A quick one.", "slow": "A slow one: the thought is heavy.",
         "half": "Half shut, no more.", "double": "Twice: it has to be taken in."}  # fmt: skip


def _blink(
    context: LineContext, span: Span, anchor: str, text: str, closed_s: float, why: Why,
    rides_on: str | None,
) -> Draft:  # fmt: skip
    shape = shape_of(context.inputs.who, context.inputs.number, anchor)
    keys = blink_keys(closed_s, shape)
    why = replace(why, rule=f"{why.rule} {_SAID[shape]}".rstrip())
    return context.draft(
        "blink", "lids", anchor, span=span, text=text, at_s=(keys[0][0], closed_s, keys[-1][0]),
        size=SIZE * SHAPES[shape][3], direction="down", path="arc", because=why, rides_on=rides_on,
        ease="sine", keys=keys, least_s=0.0, certainty=0.6,
    )  # fmt: skip


def _at_changes(context: LineContext, board: Board) -> list[Draft]:
    return [
        _blink(
            context, c.span, f"b{c.span.number}", c.pose.text,
            _clear_of_hits(context, _at_change_s(context, c), board, c.pose.start_s - EARLIER_S,
                           context.span_start_s(c.span)),
            Why(
                f"the thought changes before {context.quoted(c.span)}",
                f"{c.span.intent.said}: {c.words}, marked by a blink",
                "Blink as the thought changes, on the way into the new attitude.", COMMON,
            ),
            c.pose.id,
        )
        for c in changes(context, board) if c.mark == "blink"
    ]  # fmt: skip


def _at_change_s(context: LineContext, change: Change) -> float:
    """On the way into the new attitude, and shut before its first word where that can be had."""
    wanted_s = change.pose.start_s + DOWN_S
    wanted_s += between(*LATER_S, context.inputs.line_id, change.words)
    begins_s = context.span_start_s(change.span)
    return max(min(wanted_s, begins_s - SHUT_S), change.pose.start_s)


def _clear_of_hits(
    context: LineContext, closed_s: float, board: Board, from_s: float, begins_s: float
) -> float:
    """The moment, or the nearest one that no main accent stands in the way of.

    Not before `from_s` nor after the words begin (`begins_s`), where that can be had: the thought
    before is heard out first, and the new one is not blinked away.
    """
    marks = _marks_s(context, board)
    edges = [m - HIT_CLEAR_S - LONGEST_SHUT_S for m in marks] + [
        m + VOWEL_S + DOWN_S for m in marks
    ]
    free = [
        t for t in (closed_s, *edges)
        if not _over(t, t + LONGEST_SHUT_S, marks) and t - DOWN_S >= board.low_s
    ]  # fmt: skip
    return min(free, key=lambda t: (t - DOWN_S < from_s - 1e-6, t > begins_s, abs(t - closed_s)),
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
    listening: Listening, heard: HeardLine, phrase: int, closed_s: float, after_s: float
) -> Draft:
    shape = shape_of(listening.who, heard.line_id, phrase)
    keys = blink_keys(closed_s, shape)
    return listening.draft(
        "blink", "lids", f"p{phrase + 1}", of=heard, text="",
        at_s=(keys[0][0], closed_s, keys[-1][0]), size=SIZE * SHAPES[shape][3], direction="down",
        path="arc",
        because=Why(
            f"{heard.who}'s phrase ends", "listening",
            f"The listener blinks {against(closed_s - after_s)} the phrase's end, not "
            "always as late and not after each.", "0.25-0.5 s after (Nakano & Kitazawa 2010)",
        ),
        rides_on=listening.rides_on(), ease="sine", keys=keys, least_s=0.0, certainty=0.5,
    )  # fmt: skip
