"""Head moves: what the head does with the tune, and turns toward someone.

Cued by an audible glide that no main accent already uses, or by a new person to speak to. `hit` is
the end of the move. Whether the head follows a glide, opposes it or stays is the intent's choice,
since mirroring every tone is puppetry; at most one a phrase. Its path curves (a dip, a side) unless
the intent asks for a snap. Wide moves open speech, medium ones end it (Hadar et al. 1984).
"""

from __future__ import annotations

from planner.plan.conflicts import Board
from planner.plan.context import GlideOn, LineContext, PhraseOn, Span
from planner.plan.drafts import Draft
from planner.plan.suggestion import Why
from planner.plan.time_words import lasting
from planner.rules import rule
from planner.rules._words import COMMON

LEAST_S = 0.2  # about 5 frames at 24: a head moves no faster without being thrown
FULL_ST = 12.0  # semitones that ask for the whole of a head move: an octave
LEAST_ST = 2.0  # semitones; smaller glides are audible but no cue to move
TAIL_S = 0.06  # a glide during a hit's way back is that hit's own tune, but for its last frame
TURN_S = 0.42  # 10 frames at 24 for a turn toward someone


@rule("head-move", order=40)
def head_moves(context: LineContext, board: Board) -> list[Draft]:
    """Turns first, then one glide a phrase."""
    return [*_turns(context, board), *_with_the_tune(context, board)]


def _turns(context: LineContext, board: Board) -> list[Draft]:
    """A turn where a beat is spoken to someone else than the one before."""
    found: list[Draft] = []
    facing = context.inputs.before.toward if context.inputs.before else None
    for span in context.spans:
        if span.toward and facing and span.toward != facing:
            found.append(_turn(context, span, facing, board))
        facing = span.toward or facing
    return found


def _turn(context: LineContext, span: Span, facing: str, board: Board) -> Draft:
    intent = span.intent
    pose = next((d for d in board.kind("pose") if d.span == span.number - 1), None)
    start_s = pose.end_s if pose else context.span_start_s(span) - TURN_S / 2
    return context.draft(
        "head-move", "head", f"b{span.number}", span=span, text=context.in_span(span)[0].word,
        at_s=(start_s, start_s + TURN_S, start_s + TURN_S),
        size=intent.sized(max(intent.head_move_size, 0.4)),
        direction=context.sides.toward(span.toward), path=_path(span),
        because=Why(
            f"{context.quoted(span)} is said to {span.toward}, what came before to {facing}",
            f"{intent.said}: the head turns with {_path_words(span)}",
            "Turn to the new listener after the eyes; dip through it instead of panning flat.",
            COMMON,
        ),
        ease=intent.ease, least_s=LEAST_S, must=True,
    )  # fmt: skip


def _with_the_tune(context: LineContext, board: Board) -> list[Draft]:
    """At most one glide a phrase, the widest that no accent uses."""
    found: list[Draft] = []
    for phrase in context.phrases:
        free = [g for g in context.glides if _in(phrase, g) and _is_cue(context, g, board)]
        for glide in sorted(free, key=lambda g: -abs(g.semitones)):
            span = context.span_of(glide.syllables[-1])
            if span.intent.head_answers_tone != "stay":
                found.append(_glide_move(context, span, glide, phrase))
                break
    return found


def _in(phrase: PhraseOn, glide: GlideOn) -> bool:
    return phrase.first <= glide.syllables[0] and glide.syllables[-1] <= phrase.last


def _is_cue(context: LineContext, glide: GlideOn, board: Board) -> bool:
    """A rise or fall wide enough, that is not the sound of a hit already planned."""
    if glide.shape not in ("rise", "fall") or abs(glide.semitones) < LEAST_ST:
        return False
    start_s, end_s = _move_s(context.span_of(glide.syllables[-1]), glide)
    own = {word_of(context.syllables[i].anchor) for i in glide.syllables}
    return all(
        word_of(d.anchor) not in own and (d.end_s <= start_s + TAIL_S or d.start_s >= end_s)
        for d in board.kind("accent")
    )


def word_of(anchor: str) -> str:
    """The word of a syllable's anchor (`w4` of `w4s2`): a hit's word is its own tune."""
    return anchor[: anchor.index("s")] if anchor.startswith("w") else anchor


def _move_s(span: Span, glide: GlideOn) -> tuple[float, float]:
    """Start and end of a head move with a glide: from where the tone turns, not before."""
    end_s = glide.end_s - span.intent.lead_head_ms / 1000
    return glide.start_s, max(end_s, glide.start_s + 0.25)


def _glide_move(context: LineContext, span: Span, glide: GlideOn, phrase: PhraseOn) -> Draft:
    intent = span.intent
    start_s, end_s = _move_s(span, glide)
    last = context.syllables[glide.syllables[-1]]
    rises = glide.semitones > 0
    answer = intent.head_answers_tone
    up = rises if answer == "follow" else not rises
    word = f' on "{last.word}"' if last.word else ""
    place = "the phrase ends on" if glide.syllables[-1] == phrase.last else "the tone makes"
    verb = "follows" if answer == "follow" else "goes against"
    return context.draft(
        "head-move", "head", last.anchor, span=span, text=last.word,
        at_s=(start_s, end_s, end_s),
        size=intent.sized(intent.head_move_size * (0.5 + 0.5 * min(
            1.0, abs(glide.semitones) / FULL_ST))),
        direction="up" if up else "down", path=_path(span),
        because=Why(
            f"{place} an audible {'rise' if rises else 'fall'} of {abs(glide.semitones):.1f} st "
            f"over {lasting(glide.end_s - glide.start_s)}{word}",
            f"{intent.said}: the head {verb} the tune, with {_path_words(span)}",
            "One glide a phrase may carry the head, on a curve, and not back the same way.",
            "audible by the glissando threshold (Mertens 2004); the choice is common practice",
        ),
        ease=intent.ease, least_s=LEAST_S, certainty=0.7,
    )  # fmt: skip


def _path(span: Span) -> str:
    return span.intent.path


def _path_words(span: Span) -> str:
    return {"dip": "a dip on the way", "side": "a swing to the side", "snap": "a snap"}[
        span.intent.path
    ]
