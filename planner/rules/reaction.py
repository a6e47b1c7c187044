"""Reactions: a listener answers a cue with the body, no sooner than it could be understood.

`hit` is the first visible change. The earliest time is found in `planner.cues`. Sooner is an
interruption, and is called so. Who is talking just then answers with the brows alone. A beat given
by frames in which its character says nothing is an attitude taken while listening.
"""

from __future__ import annotations

from dataclasses import replace

from planner.conflicts import Board
from planner.context import LineContext
from planner.cues import REACTION_S, WORD_KNOWN_S, Reaction
from planner.drafts import Draft
from planner.listening import Listening, ListeningBeat
from planner.rules import rule
from planner.rules._words import COMMON, lean_words
from planner.sides import Sides
from planner.suggestion import Why

LEAST_S = 0.12
SOURCE = "word known 200 ms after its onset (Marslen-Wilson & Tyler 1980) + 160 ms reaction"


@rule("reaction", order=10, of="listening")
def reactions(listening: Listening, board: Board) -> list[Draft]:
    """One a cue, and the attitudes of listening beats."""
    found = [_beat(listening, b) for b in listening.beats]
    for reaction in listening.reactions:
        heard = next((h for h in listening.heard if h.line == reaction.line), None)
        found.append(
            listening.draft(
                "reaction", "head", f"c{reaction.cue + 1}", of=None, text=reaction.word,
                at_s=(reaction.start_s, reaction.start_s, reaction.end_s),
                size=reaction.intent.sized(reaction.intent.pose_size),
                direction=_direction(reaction, listening.sides),
                path=reaction.intent.path, because=_why(reaction), ease=reaction.intent.ease,
                keys=((reaction.start_s, 0.0), (reaction.end_s, 1.0)), least_s=LEAST_S,
                certainty=0.8 if heard else 0.7,
            )
        )  # fmt: skip
    return [_of_line(d, listening.reactions) for d in found]


@rule("reaction", order=48)
def reactions_while_talking(context: LineContext, board: Board) -> list[Draft]:
    """A cue heard while talking: the brows answer, the head is busy."""
    found: list[Draft] = []
    for reaction in context.reactions:
        span = context.spans[0]
        end_s = reaction.start_s + 0.25
        draft = context.draft(
            "reaction", "brows", f"c{reaction.cue + 1}", span=span, text=reaction.word,
            at_s=(reaction.start_s, reaction.start_s, end_s),
            size=reaction.intent.sized(reaction.intent.brow_size),
            direction="down" if reaction.intent.brow == "down" else "up", path="arc",
            because=_why(reaction), ease="quadratic-out",
            keys=((reaction.start_s, 0.0), (end_s, 1.0)), least_s=LEAST_S, certainty=0.6,
        )  # fmt: skip
        found.append(_of_line(draft, context.reactions))
    return found


def _of_line(draft: Draft, reactions: tuple[Reaction, ...]) -> Draft:
    """The draft as a reaction to the line of its cue: `reaction/head/third/c1`."""
    for reaction in reactions:
        if draft.kind == "reaction" and draft.anchor == f"c{reaction.cue + 1}":
            return replace(draft, line=reaction.line, line_id=reaction.line_id, beat=None)
    return draft


def _direction(reaction: Reaction, sides: Sides) -> str:
    intent = reaction.intent
    if intent.lean in ("toward", "away"):
        return f"{intent.accent_direction}, {lean_words(sides, intent, reaction.speaker)}"
    return intent.accent_direction


def _why(reaction: Reaction) -> Why:
    intent = reaction.intent
    after_ms = (reaction.start_s - reaction.onset_s) * 1000
    sound = f'{reaction.speaker} says "{reaction.word}" {after_ms:.0f} ms before'
    soonest_ms = (WORD_KNOWN_S + REACTION_S) * 1000
    if reaction.interrupts:
        return Why(
            sound, f"{intent.said}: cannot wait",
            f"An interruption, not a reaction: the word could only be answered {soonest_ms:.0f} ms "
            "after its start, and the own line begins sooner.", SOURCE,
        )  # fmt: skip
    extra = f" and takes {intent.reaction_ms:.0f} ms more" if intent.reaction_ms else ""
    return Why(
        sound, f"{intent.said}: {intent.attitude}{extra}",
        f"The word has to be understood first: nothing shows before {soonest_ms:.0f} ms after it "
        "starts.", SOURCE,
    )  # fmt: skip


def _beat(listening: Listening, beat: ListeningBeat) -> Draft:
    intent = beat.intent
    start_s = max(beat.start_s, listening.start_s)
    end_s = start_s + intent.pose_ms / 1000
    return Draft(
        "pose", "whole", listening.who, None, listening.who, f"b{beat.beat + 1}", "",
        start_s, end_s, end_s, intent.sized(intent.pose_size),
        lean_words(listening.sides, intent, beat.toward), "arc",
        Why(
            f"{listening.who} listens; the beat is given by frames",
            f"{intent.said}: {intent.attitude}",
            "An attitude taken in silence is as much a beat as one that is spoken.", COMMON,
        ),
        beat=beat.beat, ease=intent.ease, least_s=0.0, must=True, step=listening.step,
    )  # fmt: skip
