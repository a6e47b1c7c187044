"""How time and memory grow with length: once, ten times, a hundred times as much.

    python -m tests.benchmarks.growth

Processor time of one call in this process (the quickest of three for short ones), as a ratio to the
call on the single length, divided by the length: 1 is linear, less is better than linear. Memory is
the largest resident size of a whole process (Linux).
"""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

HERE = Path(__file__).resolve().parent
DEMO = HERE.parents[1] / "demo_scenes" / "lost_umbrella"
SOUND, SAID = DEMO / "clerk_03.flac", "Of course they were. Sign here, and it is yours."
TIMES = (1, 10, 100)
LONG_S = 3.0  # a call that takes longer is run once


def quickest_s(call: Callable[[], object]) -> float:
    """Processor time of a call: the quickest of three, or the only one of a long call."""
    best = float("inf")
    for _ in range(3):
        start_s = time.process_time()
        call()
        best = min(best, time.process_time() - start_s)
        if best > LONG_S:
            break
    return best


def readings() -> dict[str, Callable[[int], Callable[[], object]]]:
    """Reading a line said so many times over."""
    import numpy as np

    from audio.clip import ANALYSIS_RATE_HZ, clip_from_samples, load_clip
    from audio.read_voice import read_voice

    clip = load_clip(SOUND)

    def reading(times: int, text: str | None) -> Callable[[], object]:
        long = clip_from_samples(np.tile(clip.samples, times), ANALYSIS_RATE_HZ)
        said = None if text is None else " ".join([text] * times)
        return lambda: read_voice(long, text=said)

    reading(1, SAID)(), reading(1, None)()  # what is loaded once is not counted
    return {
        "reading with text, a line of 3.8 s": lambda n: reading(n, SAID),
        "reading without text": lambda n: reading(n, None),
    }


def plans() -> dict[str, Callable[[int], Callable[[], object]]]:
    """Planning, checking and reading scenes of so many lines."""
    sys.path.insert(0, str(HERE.parent / "helpers"))
    from dataclasses import replace

    from made_voices import scene, voice

    from planner.check.check_poses import check_poses
    from planner.plan.make import make_plan
    from planner.scene import Beat, KeyPose
    from planner.scene_file import parse_scene, scene_to_text
    from planner.shot import shot_of

    said = voice("that is the THIRD ~lamp. and it is NOT mine")

    def made(lines: int):
        placed = [("clerk", k * said.clip.duration_s) for k in range(lines)]
        beats = [Beat("proud", "clerk", k + 1, (1, 5)) for k in range(lines)]
        whole = scene(placed, beats=beats)
        heard = {k + 1: said for k in range(lines)}
        stresses = shot_of(whole, heard).stresses
        poses = tuple(KeyPose(s.frame - 1, s.who, "head") for s in stresses)
        return replace(whole, poses=poses), heard

    def planning(n: int) -> Callable[[], object]:
        whole, heard = made(10 * n)
        return lambda: make_plan(shot_of(whole, heard))

    def checking(n: int) -> Callable[[], object]:
        whole, heard = made(10 * n)
        return lambda: check_poses(shot_of(whole, heard), whole.poses)

    def parsing(n: int) -> Callable[[], object]:
        whole, _ = made(4 * n)
        lines = tuple(replace(line, say="that is the third lamp") for line in whole.lines)
        text = scene_to_text(replace(whole, lines=lines))
        return lambda: parse_scene(text)

    return {"planning 10 lines": planning, "checking their poses": checking,
            "reading a scene file of 4 lines": parsing}  # fmt: skip


def tracks() -> dict[str, Callable[[int], Callable[[], object]]]:
    """Reviewing tracks of so many frames."""
    import numpy as np

    from planner.frames import Clock, FrameRate
    from planner.paths.review import review_paths
    from planner.paths.track_file import parse_csv

    def reviewing(n: int) -> Callable[[], object]:
        frames = 100 * n
        turn = np.arange(frames) / 12.0
        columns = (90 * np.sin(turn), 20 * np.cos(2 * turn), 70 * np.sin(turn - 0.3),
                   15 * np.cos(turn))  # fmt: skip
        rows = [",".join(f"{v:.3f}" for v in (1001 + k, *values))
                for k, values in enumerate(zip(*columns, strict=True))]  # fmt: skip
        text = "frame,head.x,head.y,chest.x,chest.y\n" + "\n".join(rows) + "\n"
        clock = Clock(FrameRate.parse("24"), 1001)
        return lambda: review_paths(parse_csv(text), clock=clock)

    reviewing(1)()
    return {"reviewing tracks of 100 frames": reviewing}


READ = """
import sys
import numpy as np
from audio.clip import ANALYSIS_RATE_HZ, clip_from_samples, load_clip
from audio.read_voice import read_voice
from planner.shot import shot_of
clip = load_clip(sys.argv[1])
times = int(sys.argv[3])
long = clip_from_samples(np.tile(clip.samples, times), ANALYSIS_RATE_HZ)
read_voice(long, text=" ".join([sys.argv[2]] * times))
print(open("/proc/self/status").read().split("VmHWM:")[1].split()[0])
"""


def memory_mb(times: int) -> float:
    """Largest resident size of a process that reads the line so many times over.

    From /proc: what `resource` says of a child begins with the size of its parent.
    """
    command = [sys.executable, "-c", READ, str(SOUND), SAID, str(times)]
    done = subprocess.run(command, check=True, capture_output=True, text=True)
    return int(done.stdout) / 1024


def main() -> None:
    """Print the tables."""
    print("| what | once | ten times | ratio / 10 | a hundred times | ratio / 100 |")
    print("|---|---|---|---|---|---|")
    for group in (readings, plans, tracks):
        for name, make in group().items():
            taken = [quickest_s(make(times)) for times in TIMES]
            ratios = [t / taken[0] / n for t, n in zip(taken, TIMES, strict=True)]
            shown = [f"{t * 1000:.1f} ms" for t in taken]
            print(f"| {name} | {shown[0]} | {shown[1]} | {ratios[1]:.2f} | {shown[2]} "
                  f"| {ratios[2]:.2f} |", flush=True)  # fmt: skip
    used = [memory_mb(times) for times in TIMES]
    print(f"| memory of a reading with text | {used[0]:.0f} MB | {used[1]:.0f} MB | "
          f"| {used[2]:.0f} MB | |")  # fmt: skip


if __name__ == "__main__":
    main()
