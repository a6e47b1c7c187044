"""Makes the motion tracks of the lost-umbrella scene again: `python demo_scenes/make_tracks.py`.

Nobody needs to run it: the CSV files are committed. Two versions of the clerk's points in a picture
of 1920 x 1080: `tracks_v1.csv` with a fault of every kind planted (the list is PLANTED, which the
tests read), `tracks_v2.csv` with all of them mended. Both have the hold from 1370 on that keeps
easing and slows, which is no fault.

A point goes from pose to pose along curved paths with minimum-jerk spacing, keeps easing a little
in the holds, breathes, and has the small noise of a tracker.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np

HERE = Path(__file__).resolve().parent
FIRST, LAST = 1001, 1504
NOISE_PX = 0.08
BREATH_S = 4.2
RATE = 24.0
NAMES = ("nose", "chin", "chest", "l_shoulder", "l_elbow", "l_wrist", "l_fingertip")

# kind, parts, first and last frame, as planted in version 1
PLANTED = (
    ("straight-path", ("head",), (1040, 1054)),
    ("drift", ("left hand",), (1060, 1100)),
    ("same-way-back", ("head",), (1084, 1112)),
    ("locked-parts", ("head", "chest"), (1128, 1142)),
    ("rushed-settle", ("head",), (1150, 1165)),
    ("frozen", ("left hand",), (1164, 1190)),
    ("one-axis", ("head",), (1176, 1190)),
    ("dead-wrist", ("left hand",), (1190, 1204)),
    ("fingers-stop-with-hand", ("left fingers", "left hand"), (1222, 1236)),
    ("opposed-on-one-frame", ("head", "chest"), (1226, 1226)),
    ("drift", ("head",), (1238, 1268)),
    ("arc-break", ("head",), (1275, 1275)),
    ("jitter", ("head",), (1290, 1304)),
    ("foreshortened", ("left arm",), (1305, 1341)),
    ("pop", ("head",), (1340, 1340)),
)
SLOWING_HOLD = ("nose", (1370, 1412))  # in both versions; no fault


@dataclass(frozen=True)
class Go:
    """A move: frames, where to, how far its path bulges, how it settles, how the hold goes on.

    bulge : of the chord, to the left of the way. over, back : overshoot (share) and the frames it
    takes back. hold : share of the move that the hold eases on ("steady" px go on without slowing).
    """

    first: int
    last: int
    to: tuple[float, float]
    bulge: float = 0.12
    over: float = 0.0
    back: int = 0
    hold: float = 0.04
    steady: tuple[float, float] = (0.0, 0.0)


def minimum_jerk(u: np.ndarray) -> np.ndarray:
    """10u^3 - 15u^4 + 6u^5, held outside 0..1 (Flash & Hogan 1985)."""
    u = np.clip(u, 0.0, 1.0)
    return u**3 * (10.0 - 15.0 * u + 6.0 * u**2)


def walk(start: tuple[float, float], moves: list[Go]) -> np.ndarray:
    """Positions on every frame, shape (frames, 2)."""
    frames = np.arange(FIRST, LAST + 1)
    points = np.tile(np.array(start), (len(frames), 1)).astype(float)
    for number, go in enumerate(moves):
        following = moves[number + 1].first if number + 1 < len(moves) else LAST
        here = points[go.first - FIRST].copy()
        way = np.array(go.to) - here
        aside = np.array([way[1], -way[0]])
        share = minimum_jerk((frames - go.first) / (go.last - go.first))
        reach = (1.0 + go.over) * share
        if go.over:
            reach = reach - go.over * minimum_jerk((frames - go.last) / go.back)
        after = go.last + go.back
        eased = 1.0 - (1.0 - np.clip((frames - after) / max(following - after, 1), 0, 1)) ** 3
        path = here + reach[:, None] * way + (4 * go.bulge * share * (1 - share))[:, None] * aside
        # a short rest has no room to ease on
        path = path + (go.hold * min(1.0, (following - after) / 24.0) * eased)[:, None] * way
        even = np.clip((frames - after) / max(following - after, 1), 0, 1)
        path = path + even[:, None] * np.array(go.steady)
        points[go.first - FIRST :] = path[go.first - FIRST :]
    return points


def breath(points: np.ndarray, amount: float) -> np.ndarray:
    """The rise and fall of breathing, in pixels up."""
    seconds = np.arange(len(points)) / RATE
    return points + np.stack(
        [0.15 * amount * np.sin(2 * np.pi * seconds / BREATH_S + 1.0),
         -amount * np.sin(2 * np.pi * seconds / BREATH_S)], axis=1)  # fmt: skip


def head_moves(faulty: bool) -> list[Go]:
    """The head, as places of the nose."""
    return [
        Go(1008, 1020, (660, 350)),
        Go(1040, 1054, (605, 316), bulge=0.0 if faulty else 0.14, hold=0.0),
        Go(1062, 1076, (678, 342)),
        Go(1084, 1098, (618, 306), bulge=0.10, hold=0.0),
        Go(1098, 1112, (678, 342), bulge=-0.10 if faulty else 0.14),
        Go(1128, 1142, (630, 394), bulge=-0.13),
        Go(1150, 1162, (684, 326), over=0.12, back=3 if faulty else 9, hold=0.0),
        Go(1176, 1190, (610, 326.0), bulge=0.0 if faulty else 0.13, hold=0.0 if faulty else 0.04),
        Go(1214, 1226, (672, 300), bulge=0.12, hold=0.0),
        Go(1226, 1238, (606, 326), bulge=0.12, hold=0.0 if faulty else 0.05,
           steady=(13.0, 5.0) if faulty else (0.0, 0.0)),
        Go(1268, 1282, (680, 330)),
        Go(1312, 1326, (632, 372), bulge=-0.12),
        Go(1356, 1370, (664, 296), hold=0.07),
        Go(1412, 1426, (640, 352)),
        Go(1450, 1464, (668, 318)),
    ]  # fmt: skip


def chest_moves(head: list[Go], faulty: bool) -> list[Go]:
    """The chest follows the head by three frames with two fifths of its way, curving less."""
    followed = []
    for go in head:
        if go.first in (1084, 1098, 1176, 1214, 1226):
            continue
        lag = 0 if faulty and go.first == 1128 else 3
        place = (600 + 0.42 * (go.to[0] - 620), 560 + 0.42 * (go.to[1] - 330))
        followed.append(Go(go.first + lag, go.last + lag, place, 0.8 * go.bulge or 0.1))
    if faulty:  # against the head, and turning on its very frame
        followed += [Go(1211, 1226, (578, 566), 0.1, hold=0.0), Go(1226, 1242, (618, 552), 0.1)]
    else:
        followed += [Go(1218, 1230, (618, 552), 0.1, hold=0.0), Go(1230, 1244, (590, 560), 0.1)]
    return sorted(followed, key=lambda go: go.first)


REST, REST_2 = ((740, 700), (860, 790)), ((735, 702), (882, 768))
RAISED, OPEN, TO_CHEST = (
    ((770, 682), (850, 545)),
    ((778, 690), (925, 662)),
    ((745, 702), (690, 575)),
)
AT_VIEWER, BESIDE = ((776, 700), (800, 734)), ((748, 700), (800, 572))


def arm_poses(faulty: bool) -> list[tuple[int, int, tuple[tuple[float, float], ...]]]:
    """When the arm goes to which pose (places of elbow and wrist)."""
    return [
        (1124, 1138, RAISED), (1150, 1164, OPEN), (1190, 1204, TO_CHEST), (1222, 1236, RAISED),
        (1262, 1276, OPEN), (1296, 1310, AT_VIEWER if faulty else BESIDE), (1336, 1350, REST_2),
        (1400, 1414, RAISED), (1440, 1454, REST),
    ]  # fmt: skip


def arm(shoulder: np.ndarray, faulty: bool) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Elbow, wrist and fingertip. The forearm turns about the elbow; the hand follows it late."""
    frames = np.arange(FIRST, LAST + 1)
    poses = arm_poses(faulty)
    elbow = breath(
        walk(
            REST[0],
            [Go(a, b, p[0], 0.15, hold=0.0 if faulty and a == 1150 else 0.04) for a, b, p in poses],
        ),
        0.9,
    )
    elbow = elbow + 0.04 * (shoulder - shoulder[0])
    turn, length = _forearm(poses, still=faulty)
    wrist = elbow + length[:, None] * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    planted = minimum_jerk((1124 - frames) / 12.0 + 1.0)[:, None]
    slide = np.clip((frames - 1060) / 40.0, 0, 1) * 9.0 if faulty else np.zeros(len(frames))
    on_counter = np.array(REST[1]) + np.stack([slide, 0.2 * slide], axis=1)
    stay = np.where(
        frames[:, None] <= 1124, 1.0, 1.0 - minimum_jerk((frames - 1124) / 14.0)[:, None]
    )
    wrist = np.where(planted > 0, stay * on_counter + (1 - stay) * wrist, wrist)
    if faulty:  # frozen from 1164 to 1190, then back to what it would do
        held = wrist[1164 - FIRST]
        fades = 1.0 - minimum_jerk((frames[1190 - FIRST :] - 1190) / 14.0)
        wrist[1190 - FIRST :] += fades[:, None] * (held - wrist[1190 - FIRST])
        wrist[1164 - FIRST : 1190 - FIRST + 1] = held
    return elbow, wrist, fingertip(elbow, wrist, faulty)


def _forearm(
    poses: list[tuple[int, int, tuple[tuple[float, float], ...]]], *, still: bool
) -> tuple[np.ndarray, np.ndarray]:
    """Angle (radians) and length of the forearm on every frame, holds easing on a little."""
    frames = np.arange(FIRST, LAST + 1)
    bone = np.subtract(REST[1], REST[0])
    turn = np.full(len(frames), np.arctan2(bone[1], bone[0]))
    length = np.full(len(frames), np.hypot(*bone))
    for number, (first, last, (elbow, wrist)) in enumerate(poses):
        following = poses[number + 1][0] if number + 1 < len(poses) else LAST
        bone = np.subtract(wrist, elbow)
        share = minimum_jerk((frames - first) / (last - first))
        eased = 1.0 - (1.0 - np.clip((frames - last) / (following - last), 0, 1)) ** 3
        share = share + (0.0 if still and first == 1150 else 0.02) * eased
        here = first - FIRST
        turn[here:] = (turn[here] + share * (np.arctan2(bone[1], bone[0]) - turn[here]))[here:]
        length[here:] = (length[here] + share * (np.hypot(*bone) - length[here]))[here:]
    return turn, length


def fingertip(elbow: np.ndarray, wrist: np.ndarray, faulty: bool) -> np.ndarray:
    """The hand points where the forearm pointed some frames ago, so that it drags and trails."""
    frames = np.arange(FIRST, LAST + 1)
    bone = wrist - elbow
    turn = np.unwrap(np.arctan2(bone[:, 1], bone[:, 0]))
    late = np.full(len(frames), 3.5)
    if faulty:
        late *= 1.0 - _bell(frames, 1178, 1190, 1204, 1216)  # a dead wrist
        going = minimum_jerk((frames - 1222) / 14.0) * (1.0 - minimum_jerk((frames - 1246) / 14.0))
        late *= 1.0 - going  # fingers that catch up before the hand stops
    turn = np.interp(frames - late, frames, turn) + 0.1
    tremble = 0.012 * np.sin(2 * np.pi * frames / 61.0)
    return wrist + 78.0 * np.stack([np.cos(turn + tremble), np.sin(turn + tremble)], axis=1)


def _bell(frames: np.ndarray, begin: int, full: int, until: int, end: int) -> np.ndarray:
    """0 outside begin..end, 1 from full to until."""
    up = minimum_jerk((frames - begin) / (full - begin))
    return up * (1.0 - minimum_jerk((frames - until) / (end - until)))


def make(faulty: bool, seed: int) -> dict[str, np.ndarray]:
    """All points of one version, shape (frames, 2) each."""
    rng = np.random.default_rng(seed)
    head = head_moves(faulty)
    nose = walk((620, 330), head)
    chin = walk((612, 402), [
        Go(g.first, g.last, (612 + 0.86 * (g.to[0] - 620), 402 + 0.86 * (g.to[1] - 330)),
           1.1 * g.bulge, g.over, g.back, g.hold, (0.86 * g.steady[0], 0.86 * g.steady[1]))
        for g in head
    ])  # fmt: skip
    chest = walk((600, 560), chest_moves(head, faulty))
    shoulder = breath(np.array([702.0, 538.0]) + 0.9 * (chest - chest[0]), 1.5)
    elbow, wrist, tip = arm(shoulder, faulty)
    quiet = None
    if faulty:
        way = nose[1276 - FIRST] - nose[1274 - FIRST]
        nose[1275 - FIRST] += 6.0 * np.array([way[1], -way[0]]) / np.hypot(*way)
        nose[1340 - FIRST] += (21.0, -12.0)
        shake = rng.normal(0.0, 1.6, (1304 - 1290 + 1, 2))
        nose[1290 - FIRST : 1304 - FIRST + 1] += shake
        quiet = slice(1164 - FIRST, 1190 - FIRST + 1)
    made = dict(zip(
        NAMES,
        (breath(nose, 1.2), breath(chin, 1.2), breath(chest, 1.6), shoulder, elbow, wrist, tip),
        strict=True,
    ))  # fmt: skip
    for name, points in made.items():
        noise = rng.normal(0.0, NOISE_PX, points.shape)
        if name == "l_wrist" and quiet is not None:
            noise[quiet] = 0.0
        made[name] = points + noise
    return made


def to_csv(points: dict[str, np.ndarray]) -> str:
    """The table, a row a frame, hundredths of a pixel."""
    header = ",".join(f"clerk_{name}.{axis}" for name in points for axis in "xy")
    rows = [f"frame,{header}"]
    for index in range(LAST - FIRST + 1):
        cells = ",".join(f"{v:.2f}" for name in points for v in points[name][index])
        rows.append(f"{FIRST + index},{cells}")
    return "\n".join(rows) + "\n"


def main(folder: Path) -> None:
    """Write both versions."""
    for name, faulty, seed in (("tracks_v1.csv", True, 61), ("tracks_v2.csv", False, 62)):
        (folder / name).write_text(to_csv(make(faulty, seed)), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else HERE / "lost_umbrella")
