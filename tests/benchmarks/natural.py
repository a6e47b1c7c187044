"""How a path review fares on natural motion and on its spoilt twins.

    python -m tests.benchmarks.natural                       all rates and exposures
    python -m tests.benchmarks.natural --rate 24 --by-kind   one row, with what was found by kind
    python -m tests.benchmarks.natural --from FOLDER         BVH files of your own

A row a rate and exposure: certain findings a minute of natural motion (and clips without any), how
many of the planted faults are found for certain, and how many certain findings of the twins name
what was planted. What stands in the twin and in its natural original alike counts against the
precision too. See `natural_material` for the captures and their licence, `natural_faults` for what
is planted.
"""

from __future__ import annotations

import argparse
import zlib
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from planner.frames import Clock, FrameRate
from planner.paths.review import PathReview, review_paths
from planner.paths.tracks import Tracks
from tests.benchmarks.natural_faults import FAULTS, Planted
from tests.benchmarks.natural_material import Clip, clips_of, drawn, exposed, package_files

ROWS = (
    ("24", 1, 0.1), ("25", 1, 0.1), ("30", 1, 0.1), ("48", 1, 0.1), ("60", 1, 0.1),
    ("24", 1, 0.01), ("24", 1, 0.3), ("24", 2, 0.01), ("24", 2, 0.1), ("24", 2, 0.3),
    ("24", 3, 0.1),
)  # fmt: skip
NEAR_S = 0.15  # how far from its place a fault may be told


@dataclass
class Row:
    """What was counted at one rate and exposure."""

    seconds: float = 0.0
    clips: int = 0
    clean: int = 0
    natural: Counter[str] = field(default_factory=Counter)
    perhaps: Counter[str] = field(default_factory=Counter)
    planted: Counter[str] = field(default_factory=Counter)
    found: Counter[str] = field(default_factory=Counter)
    seen: Counter[str] = field(default_factory=Counter)
    right: Counter[str] = field(default_factory=Counter)
    told: Counter[str] = field(default_factory=Counter)
    sure: list[tuple[float, bool]] = field(default_factory=list)


def review(points: np.ndarray, clip: Clip, rate: str) -> PathReview:
    """The review of a clip's frames, the first of which is 1."""
    return review_paths(Tracks(clip.names, 1, points), clock=Clock(FrameRate.parse(rate), 1))


def names_it(finding: object, planted: Planted, *, step: int, rate: float) -> bool:
    """True if a finding tells the fault: its kind, its part, its place."""
    near = max(round(NEAR_S * rate), step)
    first, last = planted.first * step + 1 - near, (planted.last + 1) * step + near
    f = finding
    return (
        f.kind in planted.kinds
        and bool(set(f.parts) & set(planted.parts))  # type: ignore[attr-defined]
        and f.frames[0] <= last
        and f.frames[1] >= first  # type: ignore[attr-defined]
    )


def measure(clips: list[Clip], rate: str, step: int, noise_px: float) -> Row:
    """All clips and their twins at one rate and exposure."""
    row = Row()
    per_s = float(FrameRate.parse(rate).frames_per_s)
    for clip in clips:
        seed = zlib.crc32(clip.name.encode())
        drawings = drawn(clip, rate=per_s, step=step)
        frames = exposed(drawings, step=step, noise_px=noise_px, seed=seed)
        found = review(frames, clip, rate).findings
        row.seconds += frames.shape[1] / per_s
        row.clips += 1
        certain = [f.kind for f in found if f.certain]
        row.clean += not certain
        row.natural.update(certain)
        row.perhaps.update(f.kind for f in found if not f.certain)
        for name, spoil in FAULTS.items():
            twin(row, clip, name, spoil, drawings, rate, step, noise_px)
    return row


def twin(
    row: Row, clip: Clip, name: str, spoil: object, drawings: np.ndarray, rate: str, step: int,
    noise_px: float,
) -> None:  # fmt: skip
    """One fault planted and looked for."""
    per_s = float(FrameRate.parse(rate).frames_per_s)
    seed = zlib.crc32(f"{clip.name} {name}".encode())
    spoilt = spoil(drawings, clip.names, per_s / step, np.random.default_rng(seed))  # type: ignore[operator]
    if spoilt is None:
        return
    points, planted = spoilt
    frames = exposed(points, step=step, noise_px=noise_px, seed=seed)
    found = review(frames, clip, rate).findings
    row.planted[name] += 1
    hits = [f for f in found if names_it(f, planted, step=step, rate=per_s)]
    row.seen[name] += bool(hits)
    row.found[name] += any(f.certain for f in hits)
    for f in found:
        right = f in hits
        row.sure.append((getattr(f, "certainty", float(f.certain)), right))
        if f.certain:
            row.told[f.kind] += 1
            row.right[f.kind] += right


def share(part: int, whole: int) -> str:
    """A share as a whole percentage."""
    return f"{100 * part / whole:.0f} %" if whole else "-"


def print_row(row: Row, title: str) -> None:
    """One line of the table."""
    a_minute = 60.0 * sum(row.natural.values()) / row.seconds
    recall = ", ".join(f"{name} {share(row.found[name], row.planted[name])}" for name in FAULTS)
    precision = share(sum(row.right.values()), sum(row.told.values()))
    print(f"| {title} | {a_minute:.1f} | {row.clean} of {row.clips} | {recall} | {precision} |",
          flush=True)  # fmt: skip


def print_kinds(row: Row) -> None:
    """What was found, by kind."""
    print("\n| kind | natural, certain a minute | natural, perhaps a minute | precision in twins |")
    print("|---|---|---|---|")
    for kind in sorted(set(row.natural) | set(row.perhaps) | set(row.told)):
        print(f"| {kind} | {60 * row.natural[kind] / row.seconds:.2f} | "
              f"{60 * row.perhaps[kind] / row.seconds:.2f} | "
              f"{share(row.right[kind], row.told[kind])} of {row.told[kind]} |")  # fmt: skip
    print("\nplanted: " + ", ".join(f"{n} {row.planted[n]}" for n in FAULTS))
    print("seen, certain or not: " + ", ".join(
        f"{n} {share(row.seen[n], row.planted[n])}" for n in FAULTS))  # fmt: skip
    for low in (0.0, 0.3, 0.5, 0.7, 0.85, 0.95):
        high = {0.0: 0.3, 0.3: 0.5, 0.5: 0.7, 0.7: 0.85, 0.85: 0.95, 0.95: 1.01}[low]
        inside = [right for sure, right in row.sure if low <= sure < high]
        print(f"certainty {low:.2f}-{min(high, 1.0):.2f}: right {share(sum(inside), len(inside))} "
              f"of {len(inside)}")  # fmt: skip


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--from", dest="folder", type=Path)
    parser.add_argument("--rate")
    parser.add_argument("--step", type=int)
    parser.add_argument("--noise", type=float)
    parser.add_argument("--by-kind", action="store_true")
    given = parser.parse_args()
    files = sorted(given.folder.glob("*.bvh")) if given.folder else package_files()
    clips = list(clips_of(files))
    print(f"{len(clips)} clips of {len(files)} captures\n")
    rows = ROWS
    if given.rate or given.step or given.noise is not None:
        noise = 0.1 if given.noise is None else given.noise
        rows = ((given.rate or "24", given.step or 1, noise),)
    print("| rate, exposure, noise | natural, certain a minute | clean | planted and found "
          "| precision |\n|---|---|---|---|---|")  # fmt: skip
    for rate, step, noise in rows:
        row = measure(clips, rate, step, noise)
        print_row(row, f"{rate}, on {('ones', 'twos', 'threes')[step - 1]}, {noise:g} px")
        if given.by_kind:
            print_kinds(row)


if __name__ == "__main__":
    main()
