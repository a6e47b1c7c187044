"""Small movies of moving figures whose points are known to a fraction of a pixel.

A figure is made of sprites (pictures with transparency) laid on a backdrop by exact affine maps, so
that a point fixed to a sprite has a known place on every frame. Motion blur is the mean over the
open shutter (half a frame, centred), grain is white noise, a cut is another backdrop with other
sprites. Coordinates: x to the right, y down, pixel centres at whole numbers.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

import av
import cv2
import numpy as np
from numpy.typing import NDArray

Image = NDArray[np.float32]  # (h, w, 3), or (h, w, 4) with transparency 0..1; colours 0..255
Place = Callable[[float], tuple[float, float, float, float]]  # index -> x, y, degrees, size
SHUTTER = 0.5  # of a frame
BLUR_STEPS = 9


@dataclass(frozen=True)
class Sprite:
    """A picture whose point `anchor` is laid on the place of the moment."""

    image: Image
    anchor: tuple[float, float]
    place: Place

    def matrix(self, at: float) -> NDArray[np.float64]:
        """The 2 x 3 map from the sprite to the picture at a moment (in frames)."""
        x, y, degrees, size = self.place(at)
        turn = np.deg2rad(degrees)
        c, s = size * np.cos(turn), size * np.sin(turn)
        ax, ay = self.anchor
        return np.array([[c, -s, x - c * ax + s * ay], [s, c, y - s * ax - c * ay]])


@dataclass(frozen=True)
class Look:
    """What is done to the pictures. twos : frames a drawing stands; drift : camera, px a frame."""

    blur: bool = False
    grain: float = 0.0
    twos: int = 1
    drift: tuple[float, float] = (0.0, 0.0)
    backdrop: str = "textured"  # or "flat"
    cut_at: int | None = None


@dataclass(frozen=True)
class Shot:
    """Sprites from back to front and points fixed to them: name -> (sprite number, x, y there)."""

    size: tuple[int, int]  # width, height
    sprites: tuple[Sprite, ...]
    points: dict[str, tuple[int, float, float]]
    look: Look = Look()

    def moment(self, index: int) -> float:
        """The moment that a frame shows."""
        return float(index - index % self.look.twos)

    def true_points(self, count: int) -> NDArray[np.float64]:
        """Where the points are, shape (points, frames, 2), seen or not."""
        out = np.zeros((len(self.points), count, 2))
        for row, (number, x, y) in enumerate(self.points.values()):
            for index in range(count):
                at = self.moment(index)
                place = self.sprites[number].matrix(at) @ np.array([x, y, 1.0])
                out[row, index] = place + np.array(self.look.drift) * at
        return out

    def hidden(self, count: int) -> NDArray[np.bool_]:
        """True where a later sprite covers a point, it is outside, or the picture was cut."""
        points = self.true_points(count)
        out = np.zeros(points.shape[:2], dtype=bool)
        for row, (number, _, _) in enumerate(self.points.values()):
            for index in range(count):
                out[row, index] = self._covered(number, points[row, index], index)
        out |= (points < 0).any(axis=2) | (points > np.array(self.size) - 1).any(axis=2)
        if self.look.cut_at is not None:
            out[:, self.look.cut_at :] = True
        return out

    def _covered(self, number: int, point: NDArray[np.float64], index: int) -> bool:
        at = self.moment(index)
        here = point - np.array(self.look.drift) * at
        for sprite in self.sprites[number + 1 :]:
            m = sprite.matrix(at)
            x, y = np.linalg.solve(m[:, :2], here - m[:, 2])
            height, width = sprite.image.shape[:2]
            inside = 0 <= x < width - 1 and 0 <= y < height - 1
            if inside and sprite.image[round(y), round(x), 3] > 0.3:
                return True
        return False

    def pictures(self, count: int, *, seed: int = 1) -> Iterator[NDArray[np.uint8]]:
        """The frames, (h, w, 3) in blue green red."""
        dice = np.random.default_rng(seed)
        width, height = self.size
        back = backdrop(width + 200, height + 200, kind=self.look.backdrop, seed=seed)
        other = backdrop(width + 200, height + 200, kind="textured", seed=seed + 77)
        for index in range(count):
            cut = self.look.cut_at is not None and index >= self.look.cut_at
            picture = self._exposed(other if cut else back, self.moment(index), without=cut)
            if self.look.grain:
                noise = dice.normal(0.0, self.look.grain, picture.shape[:2]).astype(np.float32)
                picture = picture + noise[:, :, None]
            yield np.clip(np.round(picture), 0, 255).astype(np.uint8)

    def _exposed(self, back: Image, at: float, *, without: bool) -> Image:
        steps = np.linspace(-SHUTTER / 2, SHUTTER / 2, BLUR_STEPS) if self.look.blur else [0.0]
        total = sum(self._composed(back, at + step, without=without) for step in steps)
        return np.asarray(total / len(steps), dtype=np.float32)

    def _composed(self, back: Image, at: float, *, without: bool) -> Image:
        width, height = self.size
        shift = np.array(self.look.drift) * at
        m = np.array([[1.0, 0.0, shift[0] - 100], [0.0, 1.0, shift[1] - 100]])
        if np.any(shift % 1):
            picture = cv2.warpAffine(back, m, (width, height), flags=cv2.INTER_LINEAR)
        else:
            x, y = int(100 - shift[0]), int(100 - shift[1])
            picture = back[y : y + height, x : x + width].copy()
        for sprite in () if without else self.sprites:
            m = sprite.matrix(at)
            m[:, 2] += shift
            lay(picture, sprite.image, m)
        return picture


def lay(picture: Image, sprite: Image, m: NDArray[np.float64]) -> None:
    """Lay a sprite over a picture, in place."""
    h, w = sprite.shape[:2]
    corners = m @ np.array([[0, w, 0, w], [0, 0, h, h], [1, 1, 1, 1]], dtype=float)
    low = np.maximum(np.floor(corners.min(axis=1)).astype(int) - 1, 0)
    high = np.minimum(np.ceil(corners.max(axis=1)).astype(int) + 2, picture.shape[1::-1])
    if (high <= low).any():
        return
    moved = m.copy()
    moved[:, 2] -= low
    # Colours are carried premultiplied, so that edges stay clean.
    ready = np.dstack([sprite[:, :, :3] * sprite[:, :, 3:], sprite[:, :, 3]])
    got = cv2.warpAffine(ready, moved, tuple(int(v) for v in high - low), flags=cv2.INTER_LINEAR)
    part = picture[low[1] : high[1], low[0] : high[0]]
    part *= 1.0 - got[:, :, 3:]
    part += got[:, :, :3]


def backdrop(width: int, height: int, *, kind: str, seed: int) -> Image:
    """A wall: plain with a soft gradient, or with stains and shelves."""
    dice = np.random.default_rng(seed)
    y = np.linspace(0.0, 1.0, height, dtype=np.float32)[:, None, None]
    wall = np.array([120.0, 130.0, 140.0], np.float32) + y * np.array([40, 25, 10], np.float32)
    wall = np.broadcast_to(wall, (height, width, 3)).copy()
    if kind == "textured":
        for size, amount in ((90, 22), (25, 10), (7, 6)):
            noise = dice.normal(0, 1, (height // size + 3, width // size + 3)).astype(np.float32)
            wall += (
                amount
                * cv2.resize(noise, (width, height), interpolation=cv2.INTER_CUBIC)[:, :, None]
            )
        for top in range(140, height, 260):
            cv2.rectangle(wall, (0, top), (width, top + 14), (70, 85, 105), -1)
    return np.clip(wall, 0, 255)


def head(*, textured: bool, seed: int = 3, size: int = 260) -> Image:
    """A head from the front with eyes, nose, mouth; flat colours, or skin with freckles."""
    k = size / 260
    image = np.zeros((int(320 * k), size, 4), np.float32)

    def at(x: float, y: float) -> tuple[int, int]:
        return int(x * k * 16), int(y * k * 16)

    def blob(x: float, y: float, a: float, b: float, colour: tuple[int, int, int]) -> None:
        cv2.ellipse(image, at(x, y), at(a, b), 0, 0, 360, (*colour, 1.0), -1, cv2.LINE_AA, 4)

    def shape(corners: Sequence[tuple[float, float]], colour: tuple[int, int, int]) -> None:
        outline = np.array([at(x, y) for x, y in corners], np.int32)
        cv2.fillPoly(image, [outline], (*colour, 1.0), cv2.LINE_AA, 4)

    blob(130, 160, 118, 150, (150, 185, 225))
    shape([(14, 120), (40, 30), (130, 6), (220, 30), (246, 120), (190, 70), (70, 70)], (40, 50, 80))
    for x in (85, 175):
        blob(x, 140, 26, 15, (245, 245, 245))
        blob(x, 140, 10, 12, (60, 45, 30))
        shape([(x - 30, 112), (x + 26, 104), (x + 28, 112), (x - 28, 120)], (40, 50, 80))
    shape([(126, 150), (108, 200), (134, 208), (150, 198), (134, 150)], (120, 150, 200))
    blob(118, 201, 5, 3, (60, 70, 110))
    blob(142, 200, 5, 3, (60, 70, 110))
    shape([(90, 246), (130, 240), (172, 246), (150, 262), (112, 262)], (90, 80, 170))
    if textured:
        image[:, :, :3] += freckles(image.shape[:2], seed, 13.0)
    image[:, :, :3] = np.clip(image[:, :, :3], 0, 255)
    return cv2.GaussianBlur(image, (0, 0), 0.7)


HEAD_POINTS = {
    "nose": (134.0, 207.0),
    "chin": (112.0, 262.0),
    "l_eye": (85.0, 140.0),
    "r_brow": (203.0, 112.0),
    "l_mouth": (90.0, 246.0),
}


def freckles(shape: tuple[int, ...], seed: int, amount: float) -> Image:
    """Soft random texture."""
    noise = np.random.default_rng(seed).normal(0, 1, shape[:2]).astype(np.float32)
    soft = cv2.GaussianBlur(noise, (0, 0), 2.0)
    return (amount * soft / soft.std())[:, :, None]


def arm(*, textured: bool, length: int = 330, seed: int = 5) -> Image:
    """A sleeve with a cuff and a hand: lies along x, its shoulder at the left."""
    image = np.zeros((110, length, 4), np.float32)
    cv2.rectangle(image, (4, 25), (length - 110, 85), (110, 70, 50, 1.0), -1, cv2.LINE_AA)
    cv2.rectangle(image, (length - 112, 20), (length - 90, 90), (200, 205, 215, 1.0), -1)
    cv2.rectangle(image, (length - 90, 34), (length - 50, 76), (150, 185, 225, 1.0), -1)
    for k, (x, y) in enumerate(((-6, 34), (-2, 47), (-6, 60), (-14, 73))):
        cv2.line(
            image, (length - 52, y), (length + x - 8, y), (150, 185, 225, 1.0), 11, cv2.LINE_AA
        )
        cv2.circle(image, (length + x - 10, y), 3 + k % 2, (120, 130, 200, 1.0), -1, cv2.LINE_AA)
    if textured:
        image[:, :, :3] += freckles(image.shape[:2], seed, 12.0)
    image[:, :, :3] = np.clip(image[:, :, :3], 0, 255)
    return cv2.GaussianBlur(image, (0, 0), 0.7)


def write_movie(
    path: Path, pictures: Iterator[NDArray[np.uint8]], *, rate: Fraction | int = 24, crf: int = 20,
    codec: str = "libx264", gop: int | None = None, times: Sequence[Fraction] | None = None,
    options: dict[str, str] | None = None,
) -> Path:  # fmt: skip
    """Encode pictures. times : seconds of each picture, for a varying rate."""
    with av.open(str(path), "w") as container:
        stream = None
        for index, picture in enumerate(pictures):
            if stream is None:
                stream = container.add_stream(codec, rate=rate)
                stream.height, stream.width = picture.shape[:2]
                stream.pix_fmt = "yuvj420p" if codec == "mjpeg" else "yuv420p"
                given = {"crf": str(crf), "preset": "veryfast"} if codec == "libx264" else {}
                stream.options = {**given, **(options or {})}
                if gop:
                    stream.gop_size = gop
                if times is not None:
                    stream.time_base = Fraction(1, 90000)
                    stream.codec_context.time_base = Fraction(1, 90000)
            frame = av.VideoFrame.from_ndarray(picture, format="bgr24")
            if times is not None:
                frame.time_base = Fraction(1, 90000)
                frame.pts = int(times[index] * 90000)
            container.mux(stream.encode(frame))
        if stream is not None:
            container.mux(stream.encode(None))
    return path


FACE_COUNT = 30
FACE_SIZE = (480, 320)
FACE_POINTS = {"nose": (0, 67.0, 103.5), "l_eye": (0, 42.5, 70.0), "r_mouth": (0, 86.0, 123.0)}


def face_place(at: float) -> tuple[float, float, float, float]:
    """The head goes along a curve and turns a little."""
    u = min(max((at - 4) / 18, 0.0), 1.0)
    eased = u**3 * (10 - 15 * u + 6 * u * u)
    return 160 + 110 * eased, 170 - 60 * eased * (1 - eased), 8 * eased, 1.0


def face_shot(look: Look | None = None) -> Shot:
    """A head that moves, with three points."""
    sprite = Sprite(head(textured=False, size=130), (65.0, 80.0), face_place)
    return Shot(FACE_SIZE, (sprite,), FACE_POINTS, look or Look())


def limb_shot() -> Shot:
    """The same, an arm passing before it."""
    shot = face_shot()
    limb = Sprite(arm(textured=True), (20.0, 55.0), lambda t: (420 - 22 * t, 10 + 5 * t, 90.0, 1.0))
    return replace(shot, sprites=(*shot.sprites, limb))
