"""Other ways to play each phrase, as text: the name, its sentence, and what would carry the hits.

What a play would do is the plan made again with it taken, compared by the phrase's accents; nothing
is guessed.
"""

from __future__ import annotations

from dataclasses import replace

from rich.console import Console
from rich.text import Text

from planner.plan.make import make_plan
from planner.plan.suggestion import LinePlan, Plan, Suggestion
from planner.shot import Shot

NEAR_FRAMES = 6  # a hit as near to a stress lands it


def print_plays(shot: Shot, plan: Plan, *, who: str | None = None, console: Console) -> None:
    """Print the plays of every line (of one character: `who`)."""
    for line in plan.lines:
        if who in (None, line.who) and line.plays:
            console.print()
            console.print(Text(f"{line.who}, line {line.line}: {line.idea}", style="bold"))
            for phrase in sorted({p.phrase for p in line.plays}):
                _print_phrase(shot, plan, line, phrase, console)


def _print_phrase(shot: Shot, plan: Plan, line: LinePlan, phrase: int, console: Console) -> None:
    reading = shot.heard[line.line]
    first, last = reading.phrases[phrase - 1].syllables
    words = reading.phrases[phrase - 1].words
    said = " ".join(w.text for w in reading.words[words[0] : words[1] + 1]) if words else ""
    beat = _beat_of(plan, line, range(first, last + 1))
    console.print(f"  phrase {phrase}{f', {said!r}' if said else ''}: {_hits(plan, line, beat)}")
    for play in line.plays:
        if play.phrase == phrase:
            taken = "  [taken]" if play.taken else ""
            console.print(Text(f"    play: {play.name}{taken}  {play.idea}"))
            if beat is not None and not play.taken:
                again = _with_play(shot, beat, play.name)
                console.print(Text(f"      {_hits(again, line, beat)}", style="dim"))
    if beat is None:
        console.print(Text("    no beat tags it: tag it, and play: takes one", style="dim"))


def _beat_of(plan: Plan, line: LinePlan, syllables: range) -> int | None:
    """The beat in which most of a phrase's hits lie."""
    frames = {s.frame for s in line.stresses if s.syllable in syllables}
    hits = [s for s in plan.suggestions if s.kind == "accent" and s.line == line.line]
    beats = [s.beat for s in hits if s.beat is not None
             and any(abs((s.hit or 0) - f) <= NEAR_FRAMES for f in frames)]  # fmt: skip
    return max(set(beats), key=beats.count) if beats else None


def _with_play(shot: Shot, beat: int, name: str) -> Plan:
    """The plan with a play taken on a beat."""
    beats = tuple(replace(b, play=name) if k == beat else b for k, b in enumerate(shot.scene.beats))
    return make_plan(shot.changed(replace(shot.scene, beats=beats)))


def _hits(plan: Plan, line: LinePlan, beat: int | None) -> str:
    """The accents of a beat in words."""
    hits = [s for s in plan.suggestions if s.kind == "accent" and s.line == line.line
            and (beat is None or s.beat == beat)]  # fmt: skip
    return "; ".join(_hit(s) for s in sorted(hits, key=lambda s: s.frames)) or "no accent"


def _hit(s: Suggestion) -> str:
    word = f' on "{s.text}"' if s.text else ""
    return f"{s.carrier or s.part} {s.direction}{word} {s.hit}, size {s.size:.1f}"
