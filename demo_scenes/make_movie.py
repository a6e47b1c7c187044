"""Makes the short movie of the lost-umbrella scene again: `python demo_scenes/make_movie.py`.

Nobody needs to run it: the movie is committed. The clerk is drawn on every frame from her points in
`lost_umbrella/tracks_v1.csv`, a picture of 1920 x 1080 at 24, so that `linebeat track` can be tried
on a movie whose points are known. Needs the extra `picture-tracks`.
"""

from __future__ import annotations

import csv
from collections.abc import Sequence
from pathlib import Path

import av
import cv2
import numpy as np
from numpy.typing import NDArray

FOLDER = Path(__file__).resolve().parent / "lost_umbrella"
SIZE = (1920, 1080)
RATE = 24
CRF = 25  # the file stays under a megabyte
Point = NDArray[np.float64]
Picture = NDArray[np.uint8]
SKIN, HAIR, COAT, SHIRT, INK = (
    (150, 186, 228), (46, 58, 96), (112, 84, 60), (206, 214, 222), (44, 40, 46),
)  # blue green red  # fmt: skip


def points_of(path: Path) -> tuple[list[int], dict[str, Point]]:
    """Frames, and places by name, shape (frames, 2)."""
    with path.open() as stream:
        rows = list(csv.DictReader(stream))
    names = [key[:-2] for key in rows[0] if key.endswith(".x")]
    places = {
        name.removeprefix("clerk_"): np.array(
            [[float(row[f"{name}.x"]), float(row[f"{name}.y"])] for row in rows]
        )
        for name in names
    }
    return [int(row["frame"]) for row in rows], places


def shape(out: Picture, corners: Sequence[Point], colour: tuple[int, int, int]) -> None:
    """A filled outline."""
    outline = np.round(np.array(corners) * 16).astype(np.int32)
    cv2.fillPoly(out, [outline], colour, cv2.LINE_AA, 4)


def blob(out: Picture, place: Point, a: float, b: float, colour: tuple[int, int, int],
         turn: float = 0.0) -> None:  # fmt: skip
    """A filled ellipse."""
    middle = (round(place[0] * 16), round(place[1] * 16))
    axes = (round(a * 16), round(b * 16))
    cv2.ellipse(out, middle, axes, turn, 0, 360, colour, -1, cv2.LINE_AA, 4)


def limb(out: Picture, one: Point, other: Point, wide: float, thin: float,
         colour: tuple[int, int, int]) -> None:  # fmt: skip
    """A tapered part between two joints."""
    way = (other - one) / max(float(np.hypot(*(other - one))), 1e-6)
    side = np.array([-way[1], way[0]])
    shape(out, [one + wide * side, other + thin * side, other - thin * side, one - wide * side],
          colour)  # fmt: skip
    blob(out, one, wide, wide, colour)
    blob(out, other, thin, thin, colour)


def _by(x: float, y: float) -> Point:
    return np.array([x, y], dtype=np.float64)


def backdrop() -> Picture:
    """The lost-property office: a wall, shelves with parcels, a counter."""
    out = np.full((SIZE[1], SIZE[0], 3), (150, 160, 168), np.uint8)
    for top in (170, 430):
        cv2.rectangle(out, (0, top), (SIZE[0], top + 16), (80, 96, 118), -1)
        for k, x in enumerate(range(60, SIZE[0], 210)):
            high, wide = 60 + 17 * (k % 4), 90 + 13 * (k % 5)
            colour = ((96, 120, 150), (120, 130, 96), (96, 104, 140), (140, 130, 110))[k % 4]
            cv2.rectangle(out, (x, top - high), (x + wide, top), colour, -1)
    cv2.rectangle(out, (0, 900), SIZE, (62, 82, 108), -1)
    cv2.rectangle(out, (0, 900), (SIZE[0], 918), (82, 106, 136), -1)
    return out


def draw_clerk(out: Picture, at: dict[str, Point]) -> None:
    """The clerk, her coat, her face, her one arm that moves."""
    chest, shoulder = at["chest"], at["l_shoulder"]
    other = 2 * chest - shoulder
    other[1] = shoulder[1]
    outline = [shoulder, chest + _by(60, -84), chest + _by(-60, -84), other,
               chest + _by(-150, 420), chest + _by(170, 420)]  # fmt: skip
    shape(out, outline, COAT)
    shape(out, [chest + _by(-44, -84), chest + _by(44, -84), chest + _by(0, 26)], SHIRT)
    blob(out, chest, 9, 9, (60, 190, 235))
    blob(out, chest, 4, 4, INK)
    nose, chin = at["nose"], at["chin"]
    down = (chin - nose) / float(np.hypot(*(chin - nose)))
    right = np.array([down[1], -down[0]])
    turn = float(np.degrees(np.arctan2(-down[0], down[1])))
    limb(out, chin, chest + _by(0, -84), 38, 42, (132, 168, 212))
    middle = nose - 38 * down
    blob(out, middle - 22 * down, 118, 136, HAIR, turn)
    blob(out, middle + 8 * down, 95, 116, SKIN, turn)
    shape(out, [middle - 96 * right - 20 * down, middle - 44 * right - 96 * down,
                middle + 60 * right - 98 * down, middle + 97 * right - 14 * down,
                middle + 40 * right - 60 * down], HAIR)  # fmt: skip
    for side in (-34, 36):
        eye = middle + side * right - 6 * down
        blob(out, eye, 17, 11, (246, 246, 246), turn)
        blob(out, eye + 3 * right, 7, 8, (86, 60, 40), turn)
        limb(out, eye - 18 * right - 24 * down, eye + 18 * right - 28 * down, 4, 3, HAIR)
    shape(out, [nose - 34 * down, nose - 15 * right, nose + 13 * right], (110, 146, 200))
    blob(out, nose, 4, 3, (60, 70, 120))
    shape(out, [chin - 30 * right - 34 * down, chin + 32 * right - 36 * down, chin - 24 * down],
          (92, 84, 170))  # fmt: skip
    shape(out, [chin - 9 * right - 5 * down, chin + 9 * right - 5 * down, chin + 6 * down],
          (104, 138, 190))  # fmt: skip
    draw_arm(out, at)


def draw_arm(out: Picture, at: dict[str, Point]) -> None:
    """Sleeve, cuff, hand; a badge, a patch and a nail mark the joints."""
    shoulder, elbow, wrist, tip = (
        at[name] for name in ("l_shoulder", "l_elbow", "l_wrist", "l_fingertip")
    )
    sleeve = (126, 96, 70)
    limb(out, shoulder, elbow, 34, 28, sleeve)
    limb(out, elbow, wrist, 28, 20, sleeve)
    blob(out, shoulder, 12, 12, (70, 80, 190))
    blob(out, shoulder, 5, 5, (230, 230, 230))
    blob(out, elbow, 15, 15, (66, 56, 48))
    blob(out, elbow, 6, 6, (150, 150, 160))
    limb(out, wrist + 0.12 * (tip - wrist), wrist + 0.62 * (tip - wrist), 21, 19, SKIN)
    limb(out, wrist + 0.55 * (tip - wrist), tip, 11, 8, SKIN)
    blob(out, wrist, 22, 22, SHIRT)
    blob(out, wrist, 8, 8, (48, 48, 52))
    blob(out, tip, 5, 5, (96, 96, 200))


def main() -> None:
    """Write the movie."""
    frames, places = points_of(FOLDER / "tracks_v1.csv")
    wall = backdrop()
    target = FOLDER / "playblast_v1.mp4"
    with av.open(str(target), "w") as movie:
        stream = movie.add_stream("libx264", rate=RATE)
        stream.width, stream.height = SIZE
        stream.pix_fmt = "yuv420p"
        stream.options = {"crf": str(CRF), "preset": "medium", "threads": "1"}
        for index in range(len(frames)):
            picture = wall.copy()
            draw_clerk(picture, {name: place[index] for name, place in places.items()})
            # The counter stands before her, her arm rests on it.
            picture[918:] = wall[918:]
            movie.mux(stream.encode(av.VideoFrame.from_ndarray(picture, format="bgr24")))
        movie.mux(stream.encode(None))
    print(f"{target.name}: {target.stat().st_size / 1000:.0f} kB, {len(frames)} frames")


if __name__ == "__main__":
    main()
