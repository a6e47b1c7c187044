"""make_plan: from a scene and what was heard to the plan of the shot.

    state = plan_state(shot)                   # everything
    state = plan_state(shot.changed(scene), state)   # only what the change touches
    state.plan

Conventions: readings by line number, counted from 1. A line's plan depends on its `LineInputs` and
its reading alone, a listening stretch on its own inputs; both are kept under these as the key, so a
new plan from an earlier state does no work twice and is the same as a plan from nothing. Rules work
in seconds; `planner.plan.on_frames` puts their drafts on frames once. Nothing here opens a
file.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from audio.reading import VoiceReading
from planner.intents import Intent, scene_intents
from planner.plan.conflicts import Board, flowing
from planner.plan.context import (
    Before,
    LineContext,
    LineInputs,
    line_context,
    peak_of,
    planted_s,
    pose_id,
)
from planner.plan.crowding import thinned
from planner.plan.cues import Reaction, reactions_of
from planner.plan.decisions import decided
from planner.plan.drafts import Draft
from planner.plan.gaze import gaze_of, without_idle
from planner.plan.ideas import idea_of, key_poses_of, plays_in
from planner.plan.listening import HeardLine, Listening, heard_line, listening_inputs
from planner.plan.on_frames import Grid, suggestions_of
from planner.plan.sides import Sides
from planner.plan.spans import beats_by_line, listening_beats, played, spans_of
from planner.plan.suggestion import LinePlan, Plan, Stress, Suggestion
from planner.plan.tidy import empty_holds, tidied
from planner.plan.tight import tight_spots
from planner.plan.voice_facts import SyllableFacts, syllable_facts
from planner.plan.worded import Wording
from planner.rules import rules_of
from planner.scene import Beat
from planner.shot import Shot
from planner.shot.stresses import line_stresses
from planner.shot.timeline import (
    SHORTEST_LISTENING_S,
    LineTime,
    Stretch,
    Timeline,
    line_time,
    since,
    stretches,
)


@dataclass(frozen=True, slots=True)
class PlanState:
    """A plan, and what it was made of, so that the next one is quick."""

    plan: Plan
    kept: Mapping[Hashable, Any] = field(default_factory=dict, repr=False)


def make_plan(shot: Shot) -> Plan:
    """The plan of a shot, which has a reading for each of its lines.

    Raises SceneError for an intent, word or cue that does not exist; ValueError without a reading.
    """
    return plan_state(shot).plan


def plan_state(shot: Shot, before: PlanState | None = None) -> PlanState:
    """The plan, with what was worked out kept for the next one. Same errors as `make_plan`."""
    work = _Work(shot, before.kept if before else {})
    return PlanState(work.plan(), work.kept)


@dataclass(frozen=True, slots=True)
class _LineResult:
    """A line planned: what its rules saw, its suggestions, and when head or body first moves."""

    context: LineContext
    suggestions: tuple[Suggestion, ...]
    first_move_s: float


class _Work:
    """One planning: looks up what is kept, works out the rest, keeps what was used."""

    def __init__(self, shot: Shot, known: Mapping[Hashable, Any]) -> None:
        scene = shot.scene
        missing = [line.number for line in scene.lines if line.number not in shot.heard]
        if missing:
            raise ValueError(f"no reading for line {missing[0]}")
        self.scene, self.known = scene, known
        self.kept: dict[Hashable, Any] = {}
        self.intents = scene_intents(scene)
        self.heard_as = shot
        time = shot.time
        self.grid = Grid.of(scene.clock, time.low_frame, time.high_frame)
        # From here on all times count from the shot's start: `origin_s` of the scene.
        self.origin_s = time.low_s
        self.shot = replace(time, low_s=0.0, high_s=since(time.low_s, time.high_s))
        self.timeline = Timeline(
            line_time(line, shot.heard[line.number], time.low_s) for line in scene.lines
        )
        self.times = self.timeline.by_number

    def plan(self) -> Plan:
        """All suggestions, decided and in order."""
        scene = self.scene
        beats = beats_by_line(scene)
        spans = {n: spans_of(scene, t.line, t.reading, self.intents, beats[n])
                 for n, t in self.times.items()}  # fmt: skip
        reactions = reactions_of(scene, self.timeline, self.intents, spans)
        quiet = [
            (k, b, played(scene, self.intents, b, k)) for k, b in listening_beats(scene, spans)
        ]
        found: list[Suggestion] = []
        contexts: dict[int, LineContext] = {}
        for who in self._everyone():
            own = [r for r in reactions if r.who == who]
            moves = tidied(self._character(who, spans, own, quiet, contexts))
            found += without_idle(
                moves, self.grid.frames_per_s, scene.clock.step, self.shot.frames[1]
            )
        answerable = {f"c{scene.cues.index(c.cue) + 1}": c.earliest for c in self.heard_as.cues}
        placed = decided(scene, found, contexts, self.grid, answerable)
        order = self._worded(
            sorted(placed.suggestions, key=lambda s: (s.frames[0], s.frames[1], s.who, s.id))
        )
        lines = tuple(self._with_idea(self._line_plan(t), contexts) for t in self.times.values())
        return Plan(
            str(scene.rate), scene.clock.first_frame, scene.clock.step, self.shot.frames,
            lines,
            order, self._worded(placed.dropped, "dropped"), placed.unplaced,
            (*self._warnings(), *tight_spots(order, contexts, self.grid, scene.clock.step),
             *empty_holds(order, self.grid), *placed.warnings),
            gaze_of(order, self._everyone(), self.shot.frames,
                    [(p.frames[0], p.who) for p in lines]),
            tuple(k for c in contexts.values() for k in key_poses_of(c, order)),
        )  # fmt: skip

    @staticmethod
    def _with_idea(line: LinePlan, contexts: Mapping[int, LineContext]) -> LinePlan:
        """A line with its idea, its peak and other ways to play it."""
        context = contexts.get(line.line)
        if context is None or not context.syllables:
            return line
        return replace(line, idea=idea_of(context), peak=peak_of(context.syllables),
                       plays=plays_in(context))  # fmt: skip

    def _worded(self, final: Sequence[Suggestion], of: str = "plan") -> tuple[Suggestion, ...]:
        """Final suggestions with what is measured on them, and their reasons in those numbers."""
        wording = self.kept[f"worded {of}"] = Wording(self.known.get(f"worded {of}"))
        return wording.of(final)

    def _keep(self, key: Hashable, make: Any) -> Any:
        """What is known under a key, else what `make` works out; kept either way."""
        if key not in self.kept:
            self.kept[key] = self.known[key] if key in self.known else make()
        return self.kept[key]

    def _facts(self, reading: VoiceReading) -> tuple[SyllableFacts, ...]:
        """A reading's figures; kept with it, so that no other reading takes its identity."""
        key = ("facts", id(reading))
        kept: tuple[VoiceReading, tuple[SyllableFacts, ...]] = self._keep(
            key, lambda: (reading, syllable_facts(reading))
        )
        return kept[1]

    def _everyone(self) -> tuple[str, ...]:
        named = [*self.scene.characters, *(line.who for line in self.scene.lines)]
        return tuple(dict.fromkeys(named))

    def _character(
        self, who: str, spans: Mapping[int, Any], reactions: list[Reaction],
        quiet: list[tuple[int, Beat, Intent]], contexts: dict[int, LineContext],
    ) -> list[Suggestion]:  # fmt: skip
        """One character's suggestions over the whole shot, talking and listening."""
        found: list[Suggestion] = []
        before: Before | None = None
        facing: str | None = None
        faced: str | None = None
        last_line: int | None = None
        attitude: Intent | None = None  # of the last own beat
        waiting: Stretch | None = None  # listening ends where the line after it first moves
        busy = [(r.start_s, r.start_s if r.speaking else r.end_s) for r in reactions]
        for stretch in stretches(who, self.timeline, busy, self.shot):
            if stretch.line is None:
                waiting, faced = stretch, facing
                heard = self.timeline.heard(stretch)
                facing = heard[-1].line.who if heard else facing
                continue
            earlier = before
            if waiting:
                before = self._quiet_before(who, waiting, quiet) or before
            inputs = self._inputs(stretch, spans[stretch.line], before, facing)
            line_s = self.times[stretch.line].start_s
            own = tuple(r.counted_from(line_s) for r in reactions
                        if r.speaking_line == stretch.line)  # fmt: skip
            line = self._line(inputs, own)
            if waiting is None and line.first_move_s - inputs.window_s[0] >= SHORTEST_LISTENING_S:
                waiting = Stretch(who, stretch.start_s, stretch.start_s, None, last_line,
                                  stretch.line)  # fmt: skip
            if waiting:
                waiting = replace(waiting, end_s=max(line_s + line.first_move_s, waiting.end_s))
                found += self._listen(waiting, reactions, quiet, earlier, faced, attitude)
                waiting = None
            last_line = stretch.line
            contexts[stretch.line] = line.context
            found += line.suggestions
            if inputs.spans:
                last = inputs.spans[-1]
                attitude = last.intent
                facing = last.toward or facing
                before = Before(last.intent.name, last.toward, pose_id(inputs, last) or "",
                                last.beat is not None)  # fmt: skip
        if waiting:
            found += self._listen(waiting, reactions, quiet, before, faced, attitude)
        return found

    def _quiet_before(
        self, who: str, waiting: Stretch, quiet: list[tuple[int, Beat, Intent]]
    ) -> Before | None:
        """The last attitude a character took in silence in a stretch of listening."""
        found: Before | None = None
        for k, beat, intent in quiet:
            start_s = since(self.origin_s, self.scene.clock.scene_s((beat.frames or (0, 0))[0]))
            if beat.who == who and waiting.start_s - 0.01 <= start_s < waiting.end_s:
                found = Before(intent.name, beat.toward, f"pose/whole/{who}/b{k + 1}", True)
        return found

    def _inputs(
        self, stretch: Stretch, spans: Any, before: Before | None, facing: str | None
    ) -> LineInputs:
        time = self.times[stretch.line or 0]
        line = time.line
        window_s = (since(time.start_s, stretch.start_s), since(time.start_s, stretch.end_s))
        return LineInputs(
            line.number, line.id, line.who, line.at_s, line.step or self.scene.clock.step,
            window_s, spans, Sides.of(line.who, self.scene.stage), before, facing,
            before is None and stretch.start_s <= self.shot.low_s + 1e-9,
            planted_s(self.scene.planted, self.scene.clock, line.who, line.at_s),
            self._neutral(),
            (line.step or self.scene.clock.step) / min(24.0, self.grid.frames_per_s),
        )  # fmt: skip

    def _neutral(self) -> Intent:
        return played(self.scene, self.intents, None, None)

    def _line(self, inputs: LineInputs, speaking: tuple[Reaction, ...]) -> _LineResult:
        reading = self.heard_as.heard[inputs.number]
        facts = self._facts(reading)
        key = ("line", inputs, id(reading), speaking, self.grid)

        def make() -> _LineResult:
            context = line_context(inputs, reading, facts, speaking)
            drafts = line_drafts(context)
            moves = [d.start_s for d in drafts if d.part in ("whole", "head") and not d.layers]
            return _LineResult(
                context,
                suggestions_of(drafts, self.grid, inputs.at_s),
                min(moves, default=inputs.window_s[0]),
            )

        result: _LineResult = self._keep(key, make)
        return result

    def _listen(
        self, stretch: Stretch, reactions: list[Reaction],
        quiet: list[tuple[int, Beat, Intent]], before: Before | None, facing: str | None,
        listens_in: Intent | None,
    ) -> tuple[Suggestion, ...]:  # fmt: skip
        """The suggestions of a listening stretch."""
        inputs = listening_inputs(
            self.scene, stretch, self.timeline, reactions, quiet, before, self._neutral(),
            planted_s(self.scene.planted, self.scene.clock, stretch.who, self.origin_s),
            hear=self._hear, origin_s=self.origin_s, facing=facing, listens_in=listens_in,
            opens_shot=stretch.start_s <= self.shot.low_s + 1e-9,
        )  # fmt: skip
        key = ("listen", inputs, self.grid, self.origin_s)
        made: tuple[Suggestion, ...] = self._keep(
            key, lambda: suggestions_of(listening_drafts(inputs), self.grid, self.origin_s)
        )
        return made

    def _hear(self, time: LineTime) -> HeardLine:
        """A line as listeners hear it; each of them hears the same."""
        made: HeardLine = self._keep(
            ("hear", time.line.number, time.start_s, id(time.reading)), lambda: heard_line(time)
        )
        return made

    def _line_plan(self, time: LineTime) -> LinePlan:
        at_s = time.line.at_s
        key = ("stresses", time.line.number, at_s, id(time.reading), self.grid)

        def make() -> LinePlan:
            stresses = tuple(
                Stress(s.syllable, s.text, s.frame, "strong" if s.strong else "light", s.main)
                for s in line_stresses(self.scene.clock, time.line, time.reading)
            )
            frames = self.heard_as.line_frames(time.line)
            return LinePlan(time.line.number, time.line.id, time.line.who, frames, stresses)

        result: LinePlan = self._keep(key, make)
        return result

    def _warnings(self) -> list[str]:
        first, last = self.shot.frames
        return [*self.scene.moved] + [
            f"line {t.line.id} lies outside the shot ({first}-{last}); nothing is planned there"
            for t in self.times.values()
            if t.speech_end_s <= self.shot.low_s or t.speech_start_s >= self.shot.high_s
        ]


def line_drafts(context: LineContext) -> list[Draft]:
    """All drafts of a line: the rules in their order, each fitted in what is left."""
    board = Board(*context.window_s, planted=context.inputs.planted, allowance=allowances(context))
    if context.syllables:
        for rule in rules_of("line"):
            for draft in rule.plan(context, board):
                board.put(draft)
    return list(flowing(thinned(context, board.placed)))


def listening_drafts(listening: Listening) -> list[Draft]:
    """All drafts of a stretch in which a character listens."""
    board = Board(listening.start_s, listening.end_s, planted=listening.planted)
    for rule in rules_of("listening"):
        for draft in rule.plan(listening, board):
            board.put(draft)
    return [_riding(d, board.placed) for d in flowing(board.placed)]


def _riding(draft: Draft, placed: list[Draft]) -> Draft:
    """A listener's layer without a spoken attitude rides on what the body does just then."""
    if not draft.layers or draft.rides_on:
        return draft
    moves = [d for d in placed if not d.layers]
    under = [d for d in moves if d.start_s <= draft.end_s and d.end_s >= draft.start_s]
    return replace(draft, rides_on=(under or moves)[0].id) if moves else draft


def allowances(context: LineContext) -> tuple[int, ...]:
    """How many moves each beat may spend: its intent's moves a second over its length."""
    found: list[int] = []
    for span in context.spans:
        after = context.spans[span.number] if span.number < len(context.spans) else None
        end_s = context.span_start_s(after) if after else context.span_end_s(span)
        length_s = end_s - context.span_start_s(span)
        found.append(max(1, int(span.intent.moves_per_s * length_s + 0.5)))
    return tuple(found)
