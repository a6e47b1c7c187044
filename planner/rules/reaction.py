"""Reactions: a listener answers a cue with the body, no sooner than it could be understood.

`hit` is the first visible change of the head, the drawing after the still one; the face is a frame
or two ahead of it (`look`, `brow`, `blink`). A reaction is smaller than the attitude it leads to.
The earliest time is found in `planner.plan.cues`; sooner is an interruption, and is called so.
Who is talking just then answers with the face alone. A beat given by frames in which its character
says nothing is an attitude taken while listening.
"""

from __future__ import annotations

from dataclasses import replace

from planner.intents import Intent
from planner.plan.conflicts import Board
from planner.plan.context import LineContext
from planner.plan.cues import Reaction
from planner.plan.drafts import Draft
from planner.plan.listening import Listening, ListeningBeat
from planner.plan.sides import Sides
from planner.plan.suggestion import Why
from planner.plan.time_words import ago, lasting
from planner.rules import rule
from planner.rules._preparing import PREPARED_POSE, is_take, wanted_s
from planner.rules._words import COMMON, GAZE_WORDS, lean_words
from planner.shot.cue_times import REACTION_S, WORD_KNOWN_S

LEAST_S = 0.12
SAID_MS = 30.0  # under it no frame is added
TAKE_BACK_S = 0.13  # 3 frames at 24 down before a take goes up
FACE_FIRST_S = 0.042  # the face shows it; a frame later the head starts, two later it is seen
SEEN_S = 0.042  # the first drawing after the still one
STILL_SIZE = 0.15  # of a head that freezes: what stops is seen, not what moves
SOURCE = "word known 200 ms after its audible onset (Marslen-Wilson & Tyler 1980) + 160 ms reaction"


@rule("reaction", order=10, of="listening")
def reactions(listening: Listening, board: Board) -> list[Draft]:
    """One a cue, and the attitudes of listening beats."""
    found = [_beat(listening, b) for b in listening.beats]
    for reaction in listening.reactions:
        heard = next((h for h in listening.heard if h.line == reaction.line), None)
        start_s = reaction.start_s + FACE_FIRST_S
        end_s = max(reaction.end_s, start_s + LEAST_S)
        freezes = reaction.intent.answer == "freezes"
        prepared_s, said = None, ""
        if is_take(reaction.intent) and not freezes:
            back_s = min(wanted_s(reaction.intent), TAKE_BACK_S)
            if end_s - start_s - back_s >= LEAST_S and back_s > 0:
                prepared_s, start_s = start_s, start_s + back_s
            else:
                said = " No anticipation: it catches the body before it can prepare."
        found.append(
            listening.draft(
                "reaction", "head", f"c{reaction.cue + 1}", of=None, text=reaction.word,
                at_s=(start_s, start_s + SEEN_S, end_s),
                size=min(STILL_SIZE, reaction.size) if freezes else reaction.size,
                direction="freezes" if freezes else _direction(reaction, listening.sides),
                path=reaction.intent.path, ease=reaction.intent.ease, prepared_from_s=prepared_s,
                because=replace(_why(reaction), rule=_why(reaction).rule + said),
                keys=((start_s, 0.0), (end_s, 1.0)), least_s=LEAST_S - 0.01,
                certainty=0.8 if heard else 0.7,
            )
        )  # fmt: skip
    return [_of_line(d, listening.reactions) for d in found]


@rule("reaction", order=48)
def reactions_while_talking(context: LineContext, board: Board) -> list[Draft]:
    """A cue heard while talking: the face answers, the head is busy."""
    found: list[Draft] = []
    for reaction in context.reactions:
        span, intent = context.spans[0], reaction.intent
        end_s = reaction.start_s + 0.25
        part, direction = face_of(intent)
        draft = context.draft(
            "reaction", part, f"c{reaction.cue + 1}", span=span, text=reaction.word,
            at_s=(reaction.start_s, reaction.start_s + SEEN_S, end_s),
            size=intent.sized(intent.brow_size), direction=direction, path="arc",
            because=_why(reaction), ease="quadratic-out",
            keys=((reaction.start_s, 0.0), (end_s, 1.0)), least_s=LEAST_S, certainty=0.6,
        )  # fmt: skip
        found.append(_of_line(draft, context.reactions))
    return found


def face_of(intent: Intent) -> tuple[str, str]:
    """The part of the face that shows an answer first, and which way it goes.

    Eyes that leave say it before any brow; else the brows, where the intent moves them; else lids.
    """
    if intent.gaze != "hold":
        return "eyes", GAZE_WORDS.get(intent.gaze, "off to the side")
    return ("brows", intent.brow) if intent.brow != "none" else ("lids", "down")


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
    sound = f'{reaction.speaker} says "{reaction.word}", heard {ago(reaction.onset_s)}'
    if reaction.interrupts:
        return Why(
            sound, f"{intent.said}: cannot wait",
            "An interruption, not a reaction: the word could only be answered "
            f"{lasting(WORD_KNOWN_S + REACTION_S)} after it is heard, and the own line begins "
            "sooner.", SOURCE,
        )  # fmt: skip
    longer = (
        f"; takes {lasting(intent.reaction_ms / 1000)} more"
        if intent.reaction_ms >= SAID_MS
        else ""
    )
    does = "The word has to be understood first: nothing shows before "
    does += f"{lasting(WORD_KNOWN_S + REACTION_S)} after it can be heard. The face first"
    does += ", and the rest stops." if intent.answer == "freezes" else ", the head after it."
    return Why(sound, f"{intent.said}: {intent.attitude}{longer}", does, SOURCE)


def _beat(listening: Listening, beat: ListeningBeat) -> Draft:
    intent = beat.intent
    start_s = max(beat.start_s, listening.start_s)
    end_s = start_s + intent.pose_ms / 1000
    prepared_s = None
    if intent.sized(intent.pose_size) >= PREPARED_POSE and wanted_s(intent):
        prepared_s, start_s = start_s, start_s + wanted_s(intent)
        end_s += wanted_s(intent)
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
        prepared_from_s=prepared_s,
    )  # fmt: skip
