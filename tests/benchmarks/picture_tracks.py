"""How well points are followed in a movie: `python -m tests.benchmarks.picture_tracks`.

Figures with known points are rendered (tests/helpers/made_movies.py), encoded, followed from one
pin a point on the first frame that shows it (where a limb passes also on the last), and compared.
`--quick`: one draw a row instead of three; `--only NAME`; `--speed`: 1080p, ten points, one
thread, memory by length (of a second run with `--keep`, which renders nothing); `--demo`: findings
of `paths` on the demo's movie against those on the tracks it was drawn from.

error: of places that were given, on frames on which the point can be seen. found: share of those
frames with a place. wrong: longest run of frames more than 3 px off at full confidence (.8 and
more). told: hidden stretches of three frames and more of which at most two frames carry a place of
full confidence. A draw's figure moves from pose to pose by minimum jerk, its head turned by up to
14 degrees, with moves of up to 40 pixels a frame.
"""

from __future__ import annotations

import argparse
import json
import resource
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from planner.picture.follow_points import Followed, follow_points
from planner.picture.movie import open_movie
from planner.picture.seen import SURE
from tests.helpers.made_movies import (
    HEAD_POINTS,
    Look,
    Shot,
    Sprite,
    arm,
    head,
    write_movie,
)

COUNT = 72
SIZE = (1280, 720)
WRONG_PX = 3.0
HIDDEN_LEAST, TOLD_WITHIN = 3, 2  # frames
PLAIN = Look()
Floats = NDArray[np.float64]
Place = tuple[float, float]


@dataclass(frozen=True)
class Row:
    """One condition of the table."""

    name: str
    textured: bool = True
    look: Look = PLAIN
    crf: int = 20
    limb: bool = False


ROWS = (
    Row("textured"),
    Row("flat colours", textured=False, look=Look(backdrop="flat")),
    Row("flat, detailed backdrop", textured=False),
    Row("motion blur", look=Look(blur=True)),
    Row("blur, flat colours", textured=False, look=Look(blur=True, backdrop="flat")),
    Row("crf 18", crf=18),
    Row("crf 28", crf=28),
    Row("crf 32", crf=32),
    Row("flat, crf 32", textured=False, crf=32, look=Look(backdrop="flat")),
    Row("camera drifts", look=Look(drift=(1.3, -0.4))),
    Row("on twos", look=Look(twos=2)),
    Row("grain", look=Look(grain=6.0)),
    Row("a limb passes", limb=True),
    Row("a limb, flat, blur", textured=False, limb=True, look=Look(blur=True)),
    Row("a cut", look=Look(cut_at=50)),
    Row("all: blur, grain, drift, limb, crf 28", crf=28, limb=True,
        look=Look(blur=True, grain=4.0, drift=(0.8, 0.3))),
)  # fmt: skip


def minimum_jerk(u: float) -> float:
    """0 to 1, eased (Flash & Hogan 1985)."""
    u = min(max(u, 0.0), 1.0)
    return u**3 * (10.0 - 15.0 * u + 6.0 * u**2)


def poses(dice: np.random.Generator, low: list[float], high: list[float]) -> Callable[
    [float], tuple[float, ...]
]:  # fmt: skip
    """A walk from pose to pose within limits, with holds."""
    stops, at = [], 2.0
    here = dice.uniform(low, high)
    while at < COUNT:
        length, rest = dice.uniform(8, 16), dice.uniform(2, 10)
        there = dice.uniform(low, high)
        stops.append((at, at + length, here, there))
        here, at = there, at + length + rest

    def place(t: float) -> tuple[float, ...]:
        value = stops[0][2]
        for begin, end, one, other in stops:
            if t >= begin:
                value = one + minimum_jerk((t - begin) / (end - begin)) * (other - one)
        return tuple(float(v) for v in value)

    return place


def made_shot(row: Row, seed: int) -> Shot:
    """A head and an arm behind it; with a limb, another arm that passes before the face."""
    dice = np.random.default_rng(seed)
    of_head = poses(dice, [520, 300, -14], [760, 400, 14])
    of_arm = poses(dice, [180, 520, -55], [260, 600, 10])
    face = head(textured=row.textured, seed=seed)
    sprites = [
        Sprite(arm(textured=row.textured), (20.0, 55.0), lambda t: (*of_arm(t), 1.0)),
        Sprite(face, (130.0, 160.0), lambda t: (*of_head(t), 1.0)),
    ]
    if row.limb:
        begin = float(dice.uniform(22, 30))
        sprites.append(Sprite(
            arm(textured=row.textured, seed=seed + 9), (20.0, 55.0),
            lambda t: (1500 - 1250 * minimum_jerk((t - begin) / 30), 480 - 4 * (t - begin), -170, 1)
        ))  # fmt: skip
    points = {name: (1, x, y) for name, (x, y) in HEAD_POINTS.items()}
    points |= {"fingertip": (0, 312.0, 47.0), "cuff": (0, 219.0, 21.0)}
    return Shot(SIZE, tuple(sprites), points, row.look)


def measured(row: Row, seed: int, folder: Path) -> dict[str, Any]:
    """The figures of one draw."""
    shot = made_shot(row, seed)
    file = folder / f"{row.name.replace(' ', '_').replace(':', '')}_{seed}.mp4"
    if not file.exists():
        write_movie(file, shot.pictures(COUNT, seed=seed), crf=row.crf)
    true, hidden = shot.true_points(COUNT), shot.hidden(COUNT)
    pins = first_pins(true, hidden)
    if row.limb:
        pins.setdefault(COUNT - 1, {}).update(pinned(true, hidden, COUNT - 1))
    followed = follow_points(open_movie(file), pins, len(true), first=0, last=COUNT - 1)
    return compared(followed, pins, true, hidden, list(shot.points))


def first_pins(true: Floats, hidden: NDArray[np.bool_]) -> dict[int, dict[int, Place]]:
    """A pin for each point on the first frame on which it can be seen for a while."""
    pins: dict[int, dict[int, Place]] = {}
    for k in range(len(true)):
        at = next((a for a, b in spans(~hidden[k]) if b - a >= 8), None)
        if at is not None:
            at = at + 3 if at else 0
            pins.setdefault(at, {})[k] = pinned(true, hidden, at)[k]
    return pins


def pinned(true: Floats, hidden: NDArray[np.bool_], at: int) -> dict[int, Place]:
    """Pins on whole pixels, as a hand sets them, where the points can be seen."""
    return {
        k: (round(float(true[k, at, 0])), round(float(true[k, at, 1])))
        for k in range(len(true)) if not hidden[k, at]
    }  # fmt: skip


def compared(
    followed: Followed, pins: dict[int, dict[int, Place]], true: Floats, hidden: NDArray[np.bool_],
    names: list[str],
) -> dict[str, Any]:  # fmt: skip
    """Errors, what was found, the longest wrong run, what was told."""
    places = followed.seen.places
    sure = followed.seen.confidence >= SURE
    # A pin stands on a whole pixel: the path is judged, not where in the pixel it was set.
    away = places - true
    for k in range(len(true)):
        away[k] -= away[k, next((n for n, pinned in sorted(pins.items()) if k in pinned), 0)]
    off = np.linalg.norm(away, axis=2)
    given = np.isfinite(off)
    visible = ~hidden
    wrong = [longest(row) for row in (np.nan_to_num(off) > WRONG_PX) & sure & given]
    stretches = [(k, a, b) for k in range(len(true)) for a, b in spans(hidden[k])
                 if b - a >= HIDDEN_LEAST]  # fmt: skip
    told = [int(sure[k, a:b].sum()) <= TOLD_WITHIN for k, a, b in stretches]
    return {
        "errors": off[given & visible], "found": float(given[visible].mean()),
        "wrong": max(wrong), "where": names[int(np.argmax(wrong))], "told": sum(told),
        "hidden": len(told),
    }  # fmt: skip


def spans(mask: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Half-open ranges where True."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], mask.astype(int), [0]])))
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def longest(mask: NDArray[np.bool_]) -> int:
    """Length of the longest run of True."""
    return max((b - a for a, b in spans(mask)), default=0)


def table(rows: list[Row], draws: int, folder: Path) -> None:
    """Print the table."""
    print("| condition | median px | 95 % px | found | longest wrong at full confidence | "
          "hidden, told within two frames |\n|---|---|---|---|---|---|")  # fmt: skip
    errors_all, worst = [], 0
    for row in rows:
        got = [measured(row, 11 + 10 * k, folder) for k in range(draws)]
        errors = np.concatenate([g["errors"] for g in got])
        errors_all.append(errors)
        longest_wrong = max(int(g["wrong"]) for g in got)
        worst = max(worst, longest_wrong)
        told, hidden = sum(g["told"] for g in got), sum(g["hidden"] for g in got)
        where = next(g["where"] for g in got if g["wrong"] == longest_wrong)
        print(f"| {row.name} | {np.median(errors):.2f} | {np.percentile(errors, 95):.2f} | "
              f"{np.mean([g['found'] for g in got]):.0%} | {longest_wrong}"
              f"{f' ({where})' if longest_wrong else ''} | "
              f"{f'{told} of {hidden}' if hidden else '-'} |", flush=True)  # fmt: skip
    errors = np.concatenate(errors_all)
    print(f"| all | {np.median(errors):.2f} | {np.percentile(errors, 95):.2f} | | {worst} | |")


def speed(folder: Path) -> None:
    """Ten points at 1080p on one thread; memory by length."""
    import cv2

    cv2.setNumThreads(1)
    row = Row("speed", look=Look(backdrop="textured"))
    shot = replace(made_shot(row, 11), size=(1920, 1080))
    extra = {f"more_{k}": (1, 60.0 + 40 * k, 112.0 + 28 * k) for k in range(3)}
    shot = replace(shot, points={**shot.points, **extra})
    for count in (COUNT, 4 * COUNT):
        file = folder / f"speed_{count}.mp4"
        if not file.exists():
            one = list(shot.pictures(COUNT))
            turns = [p for k in range(count // COUNT) for p in (one if k % 2 == 0 else one[::-1])]
            write_movie(file, iter(turns))
        movie = open_movie(file)
        pins = {0: {k: (float(x), float(y)) for k, (x, y) in enumerate(shot.true_points(1)[:, 0])}}
        start, used = time.perf_counter(), time.process_time()
        follow_points(movie, pins, len(shot.points), first=0, last=count - 1)
        took, used = time.perf_counter() - start, time.process_time() - used
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(f"{count} frames at 1080p, {len(shot.points)} points: {count / took:.1f} frames a "
              f"second ({count / used:.1f} by processor time), {peak:.0f} MB at most")  # fmt: skip


def demo(folder: Path) -> None:
    """Certain findings of the demo's movie, followed from its points, against its own tracks."""
    from planner.cli import main as linebeat

    scene = Path(__file__).resolve().parents[2] / "demo_scenes" / "lost_umbrella"
    asked = {
        "true": [str(scene / "tracks_v1.csv")],
        "followed": [str(scene / "playblast_v1.mp4"), "--points", str(scene / "points_v1.csv")],
    }
    certain = {}
    for name, what in asked.items():
        target = folder / f"{name}.json"
        linebeat(["paths", str(scene), *what, "--json", str(target)])
        certain[name] = [f for f in json.loads(target.read_text())["findings"] if f["certain"]]
    for one, other in (("true", "followed"), ("followed", "true")):
        same = [f for f in certain[one] if any(alike(f, g) for g in certain[other])]
        print(f"certain findings, {one}: {len(certain[one])}, also {other}: {len(same)}")


def alike(one: dict[str, Any], other: dict[str, Any]) -> bool:
    """The same kind, on frames that meet, of a part in common."""
    meet = one["frames"][0] <= other["frames"][1] and other["frames"][0] <= one["frames"][1]
    return one["kind"] == other["kind"] and meet and bool({*one["parts"]} & {*other["parts"]})


def main() -> None:
    """Print what was asked for."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--only")
    parser.add_argument("--speed", action="store_true")
    parser.add_argument("--demo", action="store_true")
    parser.add_argument("--keep", help="a folder that keeps the rendered movies")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as made:
        folder = Path(asked.keep or made)
        if asked.speed or asked.demo:
            (speed if asked.speed else demo)(folder)
            return
        rows = [row for row in ROWS if not asked.only or asked.only in row.name]
        table(rows, 1 if asked.quick else 3, folder)


if __name__ == "__main__":
    main()
