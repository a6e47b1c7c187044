"""What a rule sees while a character listens: who speaks, the cues, and when a reaction can come.

Conventions: seconds of the scene. A listener cannot react before the cue could be understood: a
word is known about 200 ms after its onset in context (Marslen-Wilson & Tyler 1980), and the
quickest answer to a sound takes 160 ms more (simple reaction, review from Galton to Welford). The
intent adds its own time. Where the listener's own line starts sooner than that, it is no reaction
but an interruption, and is called so.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from audio.errors import SceneError
from planner.context import Before, bare
from planner.drafts import Draft
from planner.intents import Intent, blend, intent_named
from planner.scene import Beat, Cue, Scene
from planner.shot import LineTime, Stretch, heard_lines
from planner.sides import Sides
from planner.suggestion import Kind, Why

WORD_KNOWN_S = 0.2  # Marslen-Wilson & Tyler 1980: word known about 200 ms after its onset
REACTION_S = 0.16  # simple reaction to sound, 160 ms (review, Galton 1899 to Welford 1980)
SHORTEST_S = 0.15  # a reaction shorter than this cannot be read
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

    @property
    def speaking(self) -> bool:
        """Whether the listener is talking just then."""
        return self.speaking_line is not None


@dataclass(frozen=True, slots=True)
class Heard:
    """A line of someone else, as it sounds to a listener. `pauses_s` are its phrases' ends."""

    line: int
    line_id: str
    who: str
    start_s: float
    end_s: float
    phrase_ends_s: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class ListeningBeat:
    """A beat given by frames in which its character says nothing."""

    beat: int
    start_s: float
    end_s: float
    intent: Intent
    toward: str | None


@dataclass(frozen=True, slots=True)
class Listening:
    """A stretch of listening: all that shapes its plan, and the key under which it is kept."""

    who: str
    start_s: float
    end_s: float
    step: int
    heard: tuple[Heard, ...]
    reactions: tuple[Reaction, ...]
    beats: tuple[ListeningBeat, ...]
    before: Before | None
    line_before: tuple[int, str] | None
    line_after: tuple[int, str] | None
    sides: Sides
    planted: tuple[tuple[str, float, float], ...]
    neutral: Intent
    opens_shot: bool

    def draft(
        self, kind: Kind, part: str, anchor: str, *, of: Heard | None, text: str,
        at_s: tuple[float, float | None, float], size: float, direction: str, path: str,
        because: Why, **more: object,
    ) -> Draft:  # fmt: skip
        """A draft of this stretch; `of` is the line it answers, else the own line next to it."""
        own = self.line_before or self.line_after or (None, self.who)
        line, line_id = (of.line, f"{of.line_id}@{self.who}") if of else own
        return Draft(
            kind, part, self.who, line, line_id, anchor, text, at_s[0], at_s[1], at_s[2],
            size, direction, path, because, step=self.step, **more,  # type: ignore[arg-type]
        )  # fmt: skip


def reactions_of(
    scene: Scene, times: Mapping[int, LineTime], intents: Mapping[str, Intent]
) -> list[Reaction]:
    """Each cue's reaction. Raises SceneError for a word that does not exist."""
    return [_reaction(scene, k, cue, times, intents) for k, cue in enumerate(scene.cues)]


def _reaction(
    scene: Scene, k: int, cue: Cue, times: Mapping[int, LineTime], intents: Mapping[str, Intent]
) -> Reaction:
    place = f"cues/{k}"
    time = times.get(cue.line)
    words = time.reading.words if time else ()
    if time is None or not 1 <= cue.word <= len(words):
        raise SceneError(
            f"cue {k + 1} hears {cue.line}/{cue.word}, which does not exist",
            where=scene.where(place),
            mend=f"line {cue.line} has {len(words)} words" if time
            else f"the scene has {len(times)} lines",
        )  # fmt: skip
    intent = intent_named(scene, intents, cue.intent, place)
    intent = blend(intent, intents["neutral"], cue.strength)
    onset_s = time.start_s + words[cue.word - 1].start_s
    soonest_s = onset_s + WORD_KNOWN_S + REACTION_S
    start_s = soonest_s + intent.reaction_ms / 1000
    end_s = start_s + max(intent.pose_ms / 1000, SHORTEST_S)
    own = sorted((t for t in times.values() if t.line.who == cue.who),
                 key=lambda t: t.speech_start_s)  # fmt: skip
    following = next((t for t in own if t.speech_start_s > onset_s), None)
    interrupts = following is not None and following.speech_start_s < soonest_s
    if interrupts and following is not None:
        start_s = max(onset_s, following.speech_start_s - OPENING_S)
        end_s = following.speech_start_s
    elif following is not None:
        end_s = min(end_s, following.speech_start_s)
    talking = next((t.line.number for t in own
                    if t.speech_start_s <= start_s < t.speech_end_s), None)  # fmt: skip
    if talking is None and following is not None and end_s - start_s < SHORTEST_S:
        talking = following.line.number
    return Reaction(
        k, cue.who, start_s, max(end_s, start_s + SHORTEST_S), intent, cue.line, time.line.id,
        time.line.who, bare(words[cue.word - 1].text), onset_s, talking, interrupts,
    )  # fmt: skip


def listening_inputs(
    scene: Scene,
    stretch: Stretch,
    times: Mapping[int, LineTime],
    reactions: Sequence[Reaction],
    beats: Sequence[tuple[int, Beat, Intent]],
    before: Before | None,
    neutral: Intent,
    planted: tuple[tuple[str, float, float], ...],
    *,
    opens_shot: bool,
) -> Listening:
    """A listening stretch from the scene."""
    clock = scene.clock
    inside = [
        ListeningBeat(k, clock.scene_s((b.frames or (0, 0))[0]),
                      clock.scene_s((b.frames or (0, 0))[1] + 1), intent, b.toward)
        for k, b, intent in beats
        if b.who == stretch.who
    ]  # fmt: skip
    return Listening(
        stretch.who, stretch.start_s, stretch.end_s, clock.step,
        tuple(_heard(t) for t in heard_lines(stretch, times)),
        tuple(r for r in reactions
              if not r.speaking and stretch.start_s - 0.01 <= r.start_s < stretch.end_s),
        tuple(b for b in inside if stretch.start_s - 0.01 <= b.start_s < stretch.end_s),
        before, _named(times, stretch.before), _named(times, stretch.after),
        Sides.of(stretch.who, scene.stage), planted, neutral, opens_shot,
    )  # fmt: skip


def _heard(time: LineTime) -> Heard:
    ends = tuple(time.start_s + p.end_s for p in time.reading.phrases) or (time.speech_end_s,)
    return Heard(time.line.number, time.line.id, time.line.who, time.speech_start_s,
                 time.speech_end_s, ends)  # fmt: skip


def _named(times: Mapping[int, LineTime], number: int | None) -> tuple[int, str] | None:
    return (number, times[number].line.id) if number is not None else None
