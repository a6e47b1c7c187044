"""Cues: when a listener can answer a word at the soonest.

Conventions: seconds since the shot's start. A listener cannot react before the cue could be
understood: a word is known about 200 ms after its audible onset in context (Marslen-Wilson & Tyler
1980; a beginning near silence does not count), and the quickest answer to a sound takes 160 ms more
(simple reaction, review from Galton to Welford). The intent adds its own time. Where the listener's
own line starts sooner than that, it is no reaction but an interruption, and is called so.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from audio.errors import SceneError
from planner.intents import Intent, blend, intent_named
from planner.plan.context import Span
from planner.scene import Cue, Scene
from planner.scene.words import bare
from planner.shot.cue_times import REACTION_S, WORD_KNOWN_S, audible_from_s
from planner.shot.timeline import LineTime, Timeline, since

SHORTEST_S = 0.15  # a reaction shorter than this cannot be read
ANSWER_S = 0.45  # with less before the own line, the line's attitude is the answer
REACTION_SHARE = 0.6  # of the attitude; common practice: a listener's change is the smaller one
BUILDING_SHARE = 0.5  # of the spoken attitude to come
SOON_S = 2.5  # an own line as near is what the reaction builds into
OPENING_S = 0.25  # an interruption shows this long before the interrupter's own first syllable


@dataclass(frozen=True, slots=True)
class Reaction:
    """When a cue is answered. `speaking_line` is the own line it falls into, if any."""

    cue: int
    who: str
    start_s: float
    end_s: float
    intent: Intent
    line: int
    line_id: str
    speaker: str
    word: str
    onset_s: float
    speaking_line: int | None = None
    interrupts: bool = False
    size: float = 0.0

    def counted_from(self, origin_s: float) -> Reaction:
        """The reaction with its times counted from another origin."""
        return replace(
            self, start_s=since(origin_s, self.start_s), end_s=since(origin_s, self.end_s),
            onset_s=since(origin_s, self.onset_s),
        )  # fmt: skip

    @property
    def speaking(self) -> bool:
        """Whether the listener is talking just then."""
        return self.speaking_line is not None


def reactions_of(
    scene: Scene, timeline: Timeline, intents: Mapping[str, Intent],
    spans: Mapping[int, Sequence[Span]],
) -> list[Reaction]:  # fmt: skip
    """Each cue's reaction; `spans` are the lines' beats, by line.

    Raises SceneError for a word that does not exist.
    """
    return [_reaction(scene, k, cue, timeline, intents, spans) for k, cue in enumerate(scene.cues)]


def _reaction(
    scene: Scene, k: int, cue: Cue, timeline: Timeline, intents: Mapping[str, Intent],
    spans: Mapping[int, Sequence[Span]],
) -> Reaction:  # fmt: skip
    place = f"cues/{k}"
    time = timeline.by_number.get(cue.line)
    words = time.reading.words if time else ()
    if time is None or not 1 <= cue.word <= len(words):
        raise SceneError(
            f"cue {k + 1} hears {cue.line}/{cue.word}, which does not exist",
            where=scene.where(place),
            mend=f"line {cue.line} has {len(words)} words" if time
            else f"the scene has {len(timeline.by_number)} lines",
        )  # fmt: skip
    intent = intent_named(scene, intents, cue.intent, place)
    intent = blend(intent, intents["neutral"], cue.strength)
    word = words[cue.word - 1]
    onset_s = since(0.0, time.start_s + audible_from_s(time.reading, word.start_s, word.end_s))
    soonest_s = onset_s + WORD_KNOWN_S + REACTION_S
    start_s = soonest_s + intent.reaction_ms / 1000
    end_s = start_s + max(intent.pose_ms / 1000, SHORTEST_S)
    following = timeline.next_own(cue.who, onset_s)
    interrupts = following is not None and following.speech_start_s < soonest_s
    if interrupts and following is not None:
        start_s = max(onset_s, following.speech_start_s - OPENING_S)
        end_s = following.speech_start_s
    elif following is not None:
        end_s = min(end_s, following.speech_start_s)
    talking = timeline.talking(cue.who, start_s)
    if talking is None and following and following.speech_start_s - start_s < ANSWER_S:
        talking = following
    return Reaction(
        k, cue.who, start_s, max(end_s, start_s + SHORTEST_S), intent, cue.line, time.line.id,
        time.line.who, bare(word.text), onset_s,
        talking.line.number if talking else None, interrupts,
        _size(intent, following, spans, start_s),
    )  # fmt: skip


def _size(
    intent: Intent, following: LineTime | None, spans: Mapping[int, Sequence[Span]], start_s: float
) -> float:
    """How big the reaction is: a share of the attitude, for it is not spoken yet.

    Where the own line takes up the same intent soon after, half of what that will be: the reaction
    builds into it and must leave it something to say.
    """
    size = intent.sized(intent.pose_size) * REACTION_SHARE
    if following is None or following.speech_start_s - start_s > SOON_S:
        return size
    own = spans.get(following.line.number, ())
    if not own or own[0].intent.name != intent.name:
        return size
    return min(size, BUILDING_SHARE * own[0].intent.sized(own[0].intent.pose_size))
