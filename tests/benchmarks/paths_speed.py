"""How quick a path review is, and that it is linear. Run: python tests/benchmarks/paths_speed.py

Eased moves with noise; the best of some runs, warm. Prints seconds for 20 points x 5,000 frames,
for twice the points and twice the frames. `--large` also reads and reviews 100 points x 200,000
frames from a CSV file and tells the greatest memory.
"""

from __future__ import annotations

import argparse
import resource
import tempfile
import time
from pathlib import Path

import numpy as np

from planner.frames import Clock, FrameRate
from planner.paths.review import review_paths
from planner.paths.track_file import read_tracks
from planner.paths.tracks import Tracks

CLOCK = Clock(FrameRate.parse("24"), 1)
PARTS = ("nose", "chin", "chest", "hips", "l_shoulder", "l_elbow", "l_wrist", "l_fingertip",
         "r_shoulder", "r_elbow", "r_wrist", "r_fingertip")  # fmt: skip


def made_tracks(points: int, frames: int, *, seed: int = 0) -> Tracks:
    """Moves of 8 to 20 frames with holds of 10 to 30, on arcs."""
    rng = np.random.default_rng(seed)
    names = [f"{part}{k or ''}" for k in range(points) for part in PARTS][:points]
    made = np.empty((points, frames, 2))
    for track in made:
        track[:] = rng.uniform(200, 800, 2)
        at = 10
        while at < frames - 40:
            length = int(rng.integers(8, 20))
            u = np.arange(length + 1) / length
            ease = u**3 * (10 - 15 * u + 6 * u**2)
            way = rng.normal(0, 60, 2)
            bow = 0.48 * rng.choice([-1, 1]) * ease * (1 - ease)
            track[at : at + length + 1] += ease[:, None] * way + bow[:, None] * np.array(
                [way[1], -way[0]]
            )
            track[at + length + 1 :] += way
            at += length + int(rng.integers(10, 30))
    return Tracks(tuple(names), 1001, made + rng.normal(0, 0.1, made.shape))


def seconds(tracks: Tracks, runs: int = 5) -> float:
    """The best of some runs, in processor time: what other programs take does not count."""
    best = float("inf")
    for _ in range(runs):
        start = time.process_time()
        review_paths(tracks, clock=CLOCK)
        best = min(best, time.process_time() - start)
    return best


def large(frames: int = 200_000, points: int = 100) -> None:
    """One large file, read and reviewed."""
    part = made_tracks(points, 5000)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "large.csv"
        header = ",".join(f"p{k}.{axis}" for k in range(points) for axis in "xy")
        flat = part.points.transpose(1, 0, 2).reshape(5000, -1)
        with file.open("w", encoding="utf-8") as out:
            out.write(f"frame,{header}\n")
            for first in range(0, frames, 5000):
                rows = np.column_stack([np.arange(first, first + 5000), flat])
                np.savetxt(out, rows, fmt="%d" + ",%.2f" * (2 * points))
        start = time.perf_counter()
        tracks = read_tracks(file)
        read = time.perf_counter()
        review_paths(tracks, clock=CLOCK)
        done = time.perf_counter()
        size = file.stat().st_size / 1e6
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
    print(f"{points} x {frames}: {size:.0f} MB read in {read - start:.1f} s, reviewed in "
          f"{done - read:.1f} s, at most {memory:.1f} GB")  # fmt: skip


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--large", action="store_true")
    seconds(made_tracks(4, 500), runs=1)
    for points, frames in ((20, 5000), (40, 5000), (20, 10_000)):
        print(f"{points} x {frames}: {seconds(made_tracks(points, frames)):.3f} s")
    if parser.parse_args().large:
        large()


if __name__ == "__main__":
    main()
