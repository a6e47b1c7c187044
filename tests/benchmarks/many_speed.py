"""A thousand lines through `linebeat many`: one worker, two, and again when all is known.

    python -m tests.benchmarks.many_speed [LINES] [FOLDER]

Makes LINES short clips (default 1000) with their words in FOLDER (default: a temporary one): from
each line of the bundled scenes the words up to some pause between words, the sound shifted in time
and level so that no two files are alike. Then runs the command as a user would, wall time, each
time with a store of its own, the last time with the store of the run before.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

SCENES = Path(__file__).resolve().parents[2] / "demo_scenes"
BASE = 400  # a file's own level: one step of this many is far below hearing


def make_lines(folder: Path, count: int) -> None:
    """So many clips, each with its words beside it."""
    import numpy as np
    import soundfile

    pieces = list(_pieces())
    folder.mkdir(parents=True, exist_ok=True)
    for number in range(count):
        samples, rate_hz, text = pieces[number % len(pieces)]
        turn = number // len(pieces)
        lead = np.zeros(round(rate_hz * (0.05 + 0.003 * turn)))
        varied = np.concatenate([lead, samples * (1.0 - turn / BASE)])
        stem = folder / f"act{number % 7}" / f"line_{number:04}"
        stem.parent.mkdir(exist_ok=True)
        soundfile.write(stem.with_suffix(".flac"), varied, rate_hz)
        stem.with_suffix(".txt").write_text(text + "\n", encoding="utf-8")


def _pieces():
    """The lines of the bundled scenes, and their first halves: samples, rate, words."""
    import soundfile

    from audio.read_voice import read_file
    from planner.scene_file import read_scene

    for path in sorted(SCENES.glob("*/scene.yaml")):
        scene = read_scene(path)
        for line in scene.lines:
            sound = path.parent / line.sound
            samples, rate_hz = soundfile.read(sound)
            reading = read_file(sound, text=line.say, part_s=line.clip_s)
            for share in (1.0, 0.7, 0.5):
                words = reading.words[: max(2, round(share * len(reading.words)))]
                end = round((words[-1].end_s + 0.05) * rate_hz)
                yield samples[:end], rate_hz, " ".join(w.text for w in words)


def processor_s() -> float:
    """Processor time of all that was run so far, in seconds."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def run_s(folder: Path, store: Path, workers: int, out: Path) -> float:
    """Wall time of one run, in seconds."""
    command = [sys.executable, "-m", "planner", "many", str(folder), "--workers", str(workers),
               "--out", str(out)]  # fmt: skip
    environment = {**os.environ, "LINEBEAT_STORE": str(store)}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)  # compiled modules are kept, as for a user
    start_s = time.perf_counter()
    subprocess.run(command, check=True, env=environment, stdout=subprocess.DEVNULL,
                   stderr=subprocess.DEVNULL)  # fmt: skip
    return time.perf_counter() - start_s


def main(count: int = 1000, given: str = "") -> None:
    """Make the lines, run, print the table."""
    with tempfile.TemporaryDirectory() as temporary:
        base = Path(given or temporary)
        folder = base / "lines"
        if not folder.is_dir():
            make_lines(folder, count)
        begun_s = processor_s()
        one_s = run_s(folder, base / "store-1", 1, base / "1.csv")
        one_cpu_s = processor_s() - begun_s
        two_s = run_s(folder, base / "store-2", 2, base / "2.csv")
        two_cpu_s = processor_s() - begun_s - one_cpu_s
        again_s = run_s(folder, base / "store-2", 2, base / "again.csv")
        texts = [(base / f"{name}.csv").read_bytes() for name in ("1", "2", "again")]
    print("| many | seconds | ratio |")
    print("|---|---|---|")
    print(f"| {count} lines, 1 worker | {one_s:.1f} ({one_cpu_s:.1f} of processor) | |")
    faster = f"{one_s / two_s:.2f} times as fast as 1"
    print(f"| 2 workers | {two_s:.1f} ({two_cpu_s:.1f} of processor) | {faster} |")
    print(f"| 2 workers, again | {again_s:.2f} | {two_s / again_s:.0f} times as fast as before |")
    print(f"| the three tables are the same bytes | {len(set(texts)) == 1} | |")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000, *sys.argv[2:3])
