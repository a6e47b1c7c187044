"""How quick the desk is, driven through Textual's Pilot. Run: python tests/benchmarks/desk_speed.py

Makes scenes of ten seconds, three minutes and thirty minutes from the bundled recordings (two
characters who speak in turn), reads them once into a store of its own, then measures in new
processes, at 120x36:

- start: process time from before the scene file is read to the first full picture, above what
  importing Textual alone takes; readings come from the store;
- keys: wall time from a key being sent by Pilot to the first painting after it, over a mixed bag of
  keys (cursor, page, zoom, words, rows of the plan, nudges, undo). A painting counts as done when
  its escape sequences are made, which a headless app leaves out, so they are made here; Pilot's own
  waiting after the painting (two sleeps of 20 ms) is left out;
- edits: a beat stronger, from the key to the painting that has its plan;
- bytes: what a step of the cursor sends to the terminal, in its escape sequences, per key.

Prints one JSON object. `--quick` presses fewer keys.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

SOURCE = Path(__file__).resolve().parents[2] / "demo_scenes" / "lost_umbrella"
SIZE = (120, 36)
GAP_S = 0.4
KEYS = (
    "f3", "right", "right", "left", "full_stop", ">", "pagedown", "minus", "plus", "tab", "tab",
    "full_stop", "down", "full_stop", "]", "z", "shift+tab", "full_stop", "S", "z",
    "pageup", "u", "u", "u", "u", "f2", "down", "f4", "f3", "end", "home",
)  # fmt: skip
EDITS = 20
STEPS = 40


def make_scene(folder: Path, length_s: float) -> Path:
    """A scene at least so long, of the bundled lines said again and again, a beat a line."""
    from planner.scene_file import read_scene

    folder.mkdir(parents=True, exist_ok=True)
    source = read_scene(SOURCE / "scene.yaml")
    text = ["linebeat: 1", f"title: {length_s:g} seconds", "rate: 24", "first_frame: 1001",
            "characters: [clerk, visitor]", "lines:"]  # fmt: skip
    beats, at_s, number = ["beats:"], 0.0, 0
    import soundfile

    intents = ("teasing", "pleading", "amused", "surprised", "tender")
    while at_s < length_s:
        line = source.lines[number % len(source.lines)]
        number += 1
        shutil.copy(SOURCE / line.sound, folder / line.sound)
        text += [f"  - {{who: {line.who}, sound: {line.sound}, at: {at_s:.3f}s, "
                 f"say: {json.dumps(line.say)}}}"]  # fmt: skip
        first, second = intents[number % 5], intents[(number + 2) % 5]
        beats += [f"  - {{line: {number}, words: 1-2, intent: {first}, strength: 0.6}}",
                  f"  - {{line: {number}, words: 3-4, intent: {second}}}"]  # fmt: skip
        at_s += soundfile.info(str(folder / line.sound)).duration + GAP_S
    path = folder / "scene.yaml"
    path.write_text("\n".join(text + beats) + "\n", encoding="utf-8")
    return path


class Painted:
    """Notes when an app has painted, its escape sequences included."""

    def __init__(self, app: Any) -> None:
        from planner.desk.tight_update import tight

        self.times_s: list[float] = []
        self.bytes = 0
        display = app._display

        def noted(screen: Any, renderable: Any) -> None:
            display(screen, renderable)
            renderable = tight(renderable)
            if hasattr(renderable, "render_segments"):
                sent = renderable.render_segments(app.console)
                self.bytes += len(sent.encode())
                self.times_s.append(time.perf_counter())

        app._display = noted


async def measure(path: Path, presses: int) -> dict[str, float]:
    """Figures of one process: start in process seconds, keys in wall milliseconds."""
    begin_s = time.process_time()
    import textual.app  # noqa: F401

    textual_s = time.process_time() - begin_s
    begin_s = time.process_time()
    from planner.desk.run import open_app

    app = open_app(str(path))
    if not presses:  # the voices are read; a desk left with edits would ask about them next time
        return {}
    painted = Painted(app)
    walls: list[float] = []
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        assert app.views is not None and "script" in app.views.rows
        start_s = time.process_time() - begin_s
        for index in range(presses):
            painted.times_s.clear()
            wall_s = time.perf_counter()
            await pilot.press(KEYS[index % len(KEYS)])
            if painted.times_s:
                walls.append((painted.times_s[0] - wall_s) * 1000)
        edits = await edited(app, pilot, painted)
        sent = await stepped(app, pilot, painted)
        frames = app.desk.laid.shot[1] - app.desk.laid.shot[0] + 1
        suggestions = len(app.desk.plan.suggestions)
    return {
        "frames": frames, "suggestions": suggestions, "textual_s": round(textual_s, 3),
        "start_s": round(start_s, 3), "key_median_ms": round(statistics.median(walls), 1),
        "key_p95_ms": round(sorted(walls)[int(len(walls) * 0.95)], 1),
        "edit_median_ms": round(statistics.median(edits), 1) if edits else None,
        "step_median_bytes": round(statistics.median(sent)), "step_most_bytes": max(sent),
        "keys_painted": len(walls),
    }  # fmt: skip


async def edited(app: Any, pilot: Any, painted: Painted) -> list[float]:
    """Milliseconds from a key that changes a beat to the painting that has the new plan."""
    await pilot.press("f3", "home", "tab", "full_stop")
    found = []
    taken_s = [0.0]
    take = app._take

    def noted(planned: Any) -> None:
        take(planned)
        taken_s[0] = time.perf_counter()

    app._take = noted
    for index in range(EDITS):
        begin_s = time.perf_counter()
        await pilot.press("S" if index % 4 < 2 else "W")
        await app.workers.wait_for_complete()
        await pilot.pause()
        after = [t for t in painted.times_s if t >= taken_s[0] > begin_s]
        if after:
            found.append((after[0] - begin_s) * 1000)
        painted.times_s.clear()
    return found


async def stepped(app: Any, pilot: Any, painted: Painted) -> list[int]:
    """Bytes sent for each step of the cursor, once the motion is drawn."""
    await pilot.press("f3", "home")
    await app.workers.wait_for_complete()
    await pilot.pause()
    found = []
    for _ in range(STEPS):
        painted.bytes = 0
        await pilot.press("right")
        found.append(painted.bytes)
    return found


def in_new_process(path: Path, presses: int) -> dict[str, float]:
    """The same, measured in a process of its own."""
    command = [sys.executable, __file__, "--scene", str(path), "--presses", str(presses)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    result: dict[str, float] = json.loads(done.stdout)
    return result


def main() -> None:
    """Measure, and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--scene", type=Path)
    parser.add_argument("--presses", type=int, default=290)
    parser.add_argument("--quick", action="store_true")
    given = parser.parse_args()
    if given.scene:
        print(json.dumps(asyncio.run(measure(given.scene, given.presses))))
        return
    presses = 58 if given.quick else given.presses
    with tempfile.TemporaryDirectory() as folder:
        os.environ["LINEBEAT_STORE"] = str(Path(folder) / "store")
        os.environ |= {"XDG_STATE_HOME": folder, "COLORTERM": "truecolor", "LINEBEAT_LOOK": "dark"}
        results = {}
        for name, length_s in (
            ("ten_seconds", 8.0), ("three_minutes", 180.0), ("thirty_minutes", 1800.0),
        ):  # fmt: skip
            path = make_scene(Path(folder) / name, length_s)
            in_new_process(path, 0)  # reads the voices into the store
            results[name] = in_new_process(path, presses)
    long, short = results["thirty_minutes"], results["ten_seconds"]
    results["key_ratio"] = {"median": round(long["key_median_ms"] / short["key_median_ms"], 2)}
    print(json.dumps(results, indent=1))


if __name__ == "__main__":
    main()
