"""The idea of a line in a sentence, its peak, its key poses, and other ways to play its phrases.

One idea a line: what is wanted (the intent's `wants`), what is hidden (from the writer's remark, by
the open lexicon), and the hit it peaks on. Key poses are the three to five drawings the line stands
on: its attitudes, its peak, a hand that strikes, where the last hold begins. Nothing here moves
anything; all frames come from the suggestions as they are.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from planner.intents import Intent
from planner.lexicon import Remark
from planner.plan.context import LineContext, peak_of
from planner.plan.plays import PLAYS, SIZES, plays_of
from planner.plan.suggestion import PlannedPose, Play, Suggestion

MOST_KEY_POSES = 5


def remarked(intent: Intent, remark: Remark, hidden: Intent | None) -> Intent:
    """The intent with a writer's remark in it: lowered, turned against the tune, or leaking.

    What is hidden shows in the brows and in a late look aside; it never takes the attitude over.
    """
    if remark.lower != 1.0:
        sizes = {f: min(1.0, getattr(intent, f) * remark.lower) for f in SIZES}
        intent = replace(intent, **sizes)
    if remark.counters:
        intent = replace(intent, head_answers_tone="oppose")
    if hidden is not None and hidden.name != intent.name:
        brow = hidden.brow if hidden.brow != "none" else intent.brow
        intent = replace(intent, off_beat="late look", brow=brow,
                         brow_size=max(intent.brow_size, 0.3))  # fmt: skip
    return intent


def idea_of(context: LineContext) -> str:
    """What the line is about, in a sentence or two."""
    if not context.spans:
        return ""
    wants = [f"wants {s.intent.wants}" for s in context.spans]
    idea = f"{context.inputs.who} {', then '.join(dict.fromkeys(wants))}"
    hides = [s.remark.hides for s in context.spans if s.remark.hides
             and s.remark.hides != s.intent.name]  # fmt: skip
    if hides:
        idea += f"; {' and '.join(dict.fromkeys(hides))} shows through"
    lowered = [n for s in context.spans if s.remark.lower < 1 for n in s.remark.said[:1]]
    if lowered:
        idea += f"; kept down ({', '.join(dict.fromkeys(lowered))})"
    peak = peak_of(context.syllables)
    if peak is not None:
        word = context.syllables[peak].word
        idea += f'; it peaks on "{word}"' if word else "; it peaks once"
    lost = [s.note for s in context.spans if not s.remark.understood]
    for note in lost:
        idea += f'. The remark "{note}" says nothing to the plan: play it by hand'
    return idea + "."


def plays_in(context: LineContext) -> tuple[Play, ...]:
    """Other ways to play each phrase, the one that is taken marked."""
    found: list[Play] = []
    for phrase in context.phrases:
        span = context.span_of(phrase.main if phrase.main is not None else phrase.first)
        names = plays_of(span.intent) if not span.play else (
            span.play, *(n for n in plays_of(span.intent) if n != span.play)
        )[:3]  # fmt: skip
        found += [Play(phrase.number, n, PLAYS[n][0], n == span.play) for n in names]
    return tuple(found)


def key_poses_of(
    context: LineContext, suggestions: Iterable[Suggestion]
) -> tuple[PlannedPose, ...]:
    """The three to five drawings a line stands on, in order of time."""
    own = [s for s in suggestions if s.line == context.inputs.number and s.hit is not None
           and s.who == context.inputs.who]  # fmt: skip
    peak = peak_of(context.syllables)
    anchor = context.syllables[peak].anchor if peak is not None else ""
    ranked: list[tuple[int, Suggestion, str]] = []
    for s in own:
        if s.kind == "pose":
            ranked.append((0, s, f"{_attitude(s)}"))
        elif s.kind == "accent" and s.id.endswith(f"/{anchor}"):
            ranked.append((1, s, f"the peak: {s.carrier or s.part} {s.direction}"))
        elif s.kind == "gesture" or s.carrier == "hand":
            ranked.append((2, s, f"{s.part}, {s.direction}"))
        elif s.kind == "accent" and s.must:
            ranked.append((3, s, f"{s.carrier or s.part} {s.direction}"))
        elif s.kind == "anticipation" and s.id.endswith(f"/{anchor}"):
            ranked.append((4, s, f"wound up: {s.direction}"))
    ranked.sort(key=lambda r: (r[0], -r[1].size, r[1].frames))
    taken: dict[int, PlannedPose] = {}
    for _, s, text in ranked:
        if len(taken) < MOST_KEY_POSES and s.hit is not None and s.hit not in taken:
            taken[s.hit] = PlannedPose(s.hit, s.who, context.inputs.number, s.text, text)
    return tuple(taken[f] for f in sorted(taken))


def _attitude(pose: Suggestion) -> str:
    """The attitude of a pose as its intent says it."""
    said = pose.because.intent.partition(": ")[2]
    return said.split("; head tipped", maxsplit=1)[0] or pose.direction
