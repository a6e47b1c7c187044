"""How quick the performance is, and how large the page: three minutes of two characters.

    python -m tests.benchmarks motion

Processor time, the quickest of several runs; the scene is the one planning is measured on.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "helpers"))

from made_talk import made_talk

from planner.commands._shared import load_shot
from planner.export.facts import shot_facts
from planner.export.figure_data import figures_json
from planner.export.review_page import review_page
from planner.export.shot_sound import shot_flac
from planner.motion.compile import Compiler
from planner.motion.figure import figure_at, figure_of
from planner.motion.figure_text import figure_text
from planner.plan.make import plan_state
from planner.shot import shot_of


def quickest_ms(run: Callable[[], object], times: int = 9) -> float:
    """Processor time of the quickest of some runs."""
    best = float("inf")
    for _ in range(times):
        start_s = time.process_time()
        run()
        best = min(best, time.process_time() - start_s)
    return best * 1000


def sound_mb() -> float:
    """The demo's sound as a page of a long shot holds it, brought to three minutes."""
    demo = shot_facts(load_shot(str(Path(__file__).parents[2] / "demo_scenes" / "lost_umbrella")))
    seconds = demo.clock.rate.start_s(demo.frames[1] - demo.frames[0] + 1)
    return len(shot_flac(demo, light=True)) * 4 / 3 / 1e6 * 180 / seconds


def main() -> None:
    """Print the table."""
    made, readings = made_talk()
    shot = shot_of(made, readings)
    state = plan_state(shot)
    middle = len(made.beats) // 2
    beats = list(made.beats)
    beats[middle] = replace(beats[middle], intent="proud", strength=0.55)
    changed = shot.changed(replace(made, beats=tuple(beats)))
    later = plan_state(changed, state)

    def whole() -> object:
        return Compiler().compile(state.plan, shot)

    def beat() -> float:
        compiler = Compiler()
        compiler.compile(state.plan, shot)
        start_s = time.process_time()
        compiler.compile(later.plan, changed)
        return (time.process_time() - start_s) * 1000

    performance = Compiler().compile(state.plan, shot)
    motion = performance.characters[0]
    facts = shot_facts(shot)
    frame = performance.first_frame + 400
    rows = [
        (f"compile {performance.frames} frames of two, {len(state.plan.suggestions)} suggestions",
         f"{quickest_ms(whole):.1f} ms"),
        ("the same with one beat changed", f"{min(beat() for _ in range(7)):.1f} ms"),
        ("figures of every frame, one character",
         f"{quickest_ms(lambda: figure_of(motion, 24.0), 3):.0f} ms"),
        ("a frame's figure as text, 24 by 14",
         f"{quickest_ms(lambda: figure_text(*figure_at(motion, 24.0, frame), columns=24, rows=14)):.1f} ms"),  # noqa: E501
        ("figures in the page", f"{len(figures_json(facts)) / 1e6:.2f} MB"),
        ("the page without its sound", f"{len(review_page(facts)) / 1e6:.2f} MB"),
        ("three minutes of the demo's sound in a page", f"{sound_mb():.2f} MB"),
    ]  # fmt: skip
    print("| `motion` | |\n|---|---|")
    for name, value in rows:
        print(f"| {name} | {value} |")


if __name__ == "__main__":
    main()
