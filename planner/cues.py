"""Cues: when a listener can answer a word at the soonest.

Conventions: seconds since the shot's start. A listener cannot react before the cue could be
understood: a word is known about 200 ms after its onset in context (Marslen-Wilson & Tyler 1980),
and the quickest answer to a sound takes 160 ms more (simple reaction, review from Galton to
Welford). The intent adds its own time. Where the listener's own line starts sooner than that, it is
no reaction but an interruption, and is called so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from audio.errors import SceneError
from planner.context import bare
from planner.intents import Intent, blend, intent_named
from planner.scene import Cue, Scene
from planner.shot import Timeline, since

WORD_KNOWN_S = 0.2  # Marslen-Wilson & Tyler 1980: word known about 200 ms after its onset
REACTION_S = 0.16  # simple reaction to sound, 160 ms (review, Galton 1899 to Welford 1980)
SHORTEST_S = 0.15  # a reaction shorter than this cannot be read
ANSWER_S = 0.45  # with less before the own line, the line's attitude is the answer
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


def reactions_of(scene: Scene, timeline: Timeline, intents: Mapping[str, Intent]) -> list[Reaction]:
    """Each cue's reaction. Raises SceneError for a word that does not exist."""
    return [_reaction(scene, k, cue, timeline, intents) for k, cue in enumerate(scene.cues)]


def _reaction(
    scene: Scene, k: int, cue: Cue, timeline: Timeline, intents: Mapping[str, Intent]
) -> Reaction:
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
    onset_s = time.start_s + words[cue.word - 1].start_s
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
        time.line.who, bare(words[cue.word - 1].text), onset_s,
        talking.line.number if talking else None, interrupts,
    )  # fmt: skip
