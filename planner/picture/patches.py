"""The surroundings of a point as a patch, and where that patch lies in another picture.

A patch is a square of grey values round a point, `radius` pixels to each side, weighted toward its
middle (a Gaussian). It is laid on a picture by a similarity: a shift, a turn and a size. `lay`
finds that similarity to a fraction of a pixel by Gauss-Newton steps with the patch's own gradient
(inverse compositional, Baker & Matthews 2004), brightness and contrast left free, pixels that do
not fit (something passes before it) counting less (Cauchy weights).

Conventions: a place is (x, y) in pixels, pixel centres at whole numbers; a form is the 2 x 2 matrix
of turn and size; grey values 0..255 as float32.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from audio.reading import FloatArray

Grey = NDArray[np.float32]
Way = tuple[float, float]  # x, y in pixels

STEPS_MAX = 12
STEP_ENOUGH_PX = 0.01
NOISE_LEAST = 2.0  # grey levels: what compression leaves at least (common practice)
FIT_NOISES = 2.5  # a pixel farther off than this many noises counts as covered
SPREAD = 0.5  # the weight's deviation, of the radius
CORE = 0.28  # of the radius: the middle that has to fit itself
SIZE_HOLD, TURN_HOLD = 0.3, 0.02  # how firmly the size stays 1 and the turn what it was
SIZE_LIMITS = (0.5, 2.0)
IDENTITY = np.eye(2)


@dataclass(frozen=True, slots=True, eq=False)
class Patch:
    """A point's surroundings as they looked once.

    values : (side, side); depth : how many times it was handed on from a pin (0: at the pin);
    contrast : weighted deviation of its values, grey levels; hold_px : by how much a picture with
    noise of one grey level would misplace it, in its worst direction; way : how far it moved while
    the shutter was open when it was cut, None if that is not known yet; say : how far each pixel
    goes with the point, 0..1; weight : the say within the Gaussian, its sum 1.
    """

    values: Grey
    radius: int
    depth: int = 0
    contrast: float = 0.0
    hold_px: float = 0.0
    slopes: FloatArray = field(repr=False, default_factory=lambda: np.zeros((0, 4)))
    way: Way | None = None
    say: FloatArray = field(repr=False, default_factory=lambda: np.zeros(0))
    weight: FloatArray = field(repr=False, default_factory=lambda: np.zeros(0))


@dataclass(frozen=True, slots=True, eq=False)
class Laid:
    """Where a patch was found. likeness : weighted correlation, -1..1; seen : share of the patch
    that fits, 0..1, core : of its middle; error_px : how far off the place may be (one deviation);
    fits : pixel by pixel."""

    place: tuple[float, float]
    form: FloatArray
    likeness: float
    seen: float
    core: float
    error_px: float
    fits: NDArray[np.bool_] = field(repr=False)


@lru_cache(maxsize=8)
def grid(radius: int) -> tuple[FloatArray, FloatArray]:
    """Coordinates round the middle, shape (pixels, 2), and weights that sum to 1."""
    axis = np.arange(-radius, radius + 1, dtype=np.float64)
    x, y = np.meshgrid(axis, axis)
    weight = np.exp(-(x**2 + y**2) / (2.0 * (SPREAD * radius) ** 2))
    return np.stack([x.ravel(), y.ravel()], axis=1), (weight / weight.sum()).ravel()


def cut_patch(picture: NDArray[np.uint8], place: tuple[float, float], radius: int,
              form: FloatArray = IDENTITY, *, depth: int = 0,
              way: Way | None = None) -> Patch:  # fmt: skip
    """The patch round a place of a picture, upright as `form` says."""
    window = window_at(picture, place, radius)
    return make_patch(sample(window, place, form, radius), radius, depth=depth, way=way)


def make_patch(
    values: Grey,
    radius: int,
    *,
    depth: int = 0,
    say: FloatArray | None = None,
    way: Way | None = None,
) -> Patch:
    """A patch from its values, shape (2 radius + 1, 2 radius + 1)."""
    points, gauss = grid(radius)
    say = np.ones(len(gauss)) if say is None else say
    weight = gauss * say / float(gauss @ say)
    down, across = np.gradient(values.astype(np.float64))
    gx, gy = across.ravel(), down.ravel()
    x, y = points.T
    slopes = np.stack([gx, gy, gx * x + gy * y, gy * x - gx * y], axis=1)
    flat = values.ravel().astype(np.float64)
    mean = weight @ flat
    contrast = float(np.sqrt(weight @ (flat - mean) ** 2))
    own = (slopes[:, :2] * weight[:, None]).T @ slopes[:, :2]
    noise_gain = (slopes[:, :2] * weight[:, None] ** 2).T @ slopes[:, :2]
    hold = _worst(own, noise_gain)
    return Patch(values, radius, depth, contrast, hold, slopes, way, say, weight)


def with_say(patch: Patch, say: FloatArray) -> Patch:
    """The patch with other say for its pixels."""
    return make_patch(patch.values, patch.radius, depth=patch.depth, say=say, way=patch.way)


@lru_cache(maxsize=8)
def core_of(radius: int) -> NDArray[np.bool_]:
    """True for the pixels of a patch's middle."""
    points, _ = grid(radius)
    near: NDArray[np.bool_] = np.hypot(*points.T) <= max(2.5, CORE * radius)
    return near


def _worst(own: FloatArray, noise_gain: FloatArray) -> float:
    """Deviation of a place in its worst direction, for noise of one grey level."""
    inverse = np.linalg.pinv(own + 1e-9 * np.eye(2))
    covariance = inverse @ noise_gain @ inverse
    return float(np.sqrt(max(np.linalg.eigvalsh(covariance)[-1], 0.0)))


@dataclass(frozen=True, slots=True, eq=False)
class Window:
    """A part of a picture as numbers: values float32, its first pixel at `origin` (x, y)."""

    values: Grey
    origin: tuple[int, int]


def window_at(picture: NDArray[np.uint8], place: tuple[float, float], radius: int) -> Window:
    """The part of a picture in which a patch near `place` can lie."""
    reach = 3 * radius + 4
    height, width = picture.shape
    x0 = min(max(int(place[0]) - reach, 0), max(width - 2, 0))
    y0 = min(max(int(place[1]) - reach, 0), max(height - 2, 0))
    x1, y1 = max(int(place[0]) + reach, x0 + 2), max(int(place[1]) + reach, y0 + 2)
    return Window(picture[y0:y1, x0:x1].astype(np.float32), (x0, y0))


def sample(window: Window, place: tuple[float, float], form: FloatArray, radius: int) -> Grey:
    """The values under a patch laid at `place` with `form`; edges are repeated."""
    import cv2

    side = 2 * radius + 1
    (a, b), (c, d) = form
    x, y = place[0] - window.origin[0], place[1] - window.origin[1]
    matrix = np.array([[a, b, x - radius * (a + b)], [c, d, y - radius * (c + d)]])
    out = cv2.warpAffine(window.values, matrix, (side, side), borderMode=cv2.BORDER_REPLICATE,
                         flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP)  # fmt: skip
    return np.asarray(out, dtype=np.float32)


def lay(
    patch: Patch, picture: NDArray[np.uint8], place: tuple[float, float],
    form: FloatArray = IDENTITY, *, noise: float = NOISE_LEAST, smeared: Way | None = None,
) -> Laid:  # fmt: skip
    """Find the patch in a picture, from a place that is a few pixels off at most.

    form : what its turn and size were last; noise : of the picture, grey levels (deviation);
    smeared : the picture is smeared so before it is looked at.
    """
    weight = patch.weight
    window = window_at(picture, place, patch.radius)
    if smeared is not None:
        window = Window(smear(window.values, smeared), window.origin)
    at, shape = np.array(place), form
    before = np.linalg.inv(form / np.hypot(*form[:, 0]))  # the turn alone: the size is held at 1
    template = patch.values.ravel().astype(np.float64)
    scale = _fit_scale(patch, noise)
    hold = np.append([0.0, 0.0], (SIZE_HOLD, TURN_HOLD) * (weight @ patch.slopes[:, 2:] ** 2))
    for _ in range(STEPS_MAX):
        values = sample(window, (at[0], at[1]), shape, patch.radius).ravel().astype(np.float64)
        difference, _ = _difference(values, template, weight)
        trust = weight / (1.0 + (difference / scale) ** 2)
        weighted = patch.slopes * trust[:, None]
        since = before @ shape
        strayed = np.array([0.0, 0.0, since[0, 0] - 1.0, since[1, 0]])
        step = np.linalg.solve(
            weighted.T @ patch.slopes + np.diag(hold + 1e-9),
            weighted.T @ difference + hold * strayed,
        )
        shape = shape @ np.linalg.inv([[1.0 + step[2], -step[3]], [step[3], 1.0 + step[2]]])
        move = shape @ step[:2]
        at = at - move
        far = float(np.hypot(*(at - place))) > patch.radius
        if far or not SIZE_LIMITS[0] < np.hypot(*shape[:, 0]) < SIZE_LIMITS[1]:
            return Laid(place, form, -1.0, 0.0, 0.0, np.inf, np.zeros(len(weight), dtype=bool))
        if float(np.hypot(*move)) < STEP_ENOUGH_PX:
            break
    return _judged(patch, window, (float(at[0]), float(at[1])), shape, noise)


def _fit_scale(patch: Patch, noise: float) -> float:
    return float(FIT_NOISES * np.hypot(noise, 0.06 * patch.contrast))


def _judged(patch: Patch, window: Window, place: tuple[float, float], form: FloatArray,
            noise: float) -> Laid:  # fmt: skip
    weight = patch.weight
    values = sample(window, place, form, patch.radius).ravel().astype(np.float64)
    template = patch.values.ravel().astype(np.float64)
    difference, likeness = _difference(values, template, weight)
    scale = _fit_scale(patch, noise)
    fits = np.abs(difference) < scale
    seen = float(weight @ fits)
    spread = float(np.sqrt(weight @ np.minimum(np.abs(difference), scale) ** 2))
    error = patch.hold_px * max(spread, 0.5) / max(seen, 0.1)
    core = float(fits[core_of(patch.radius)].mean())
    return Laid(place, form, likeness, seen, core, error, fits)


def _difference(
    values: FloatArray, template: FloatArray, weight: FloatArray
) -> tuple[FloatArray, float]:
    """Values minus template, brightness and contrast matched, and their correlation."""
    v, t = values - weight @ values, template - weight @ template
    cross, own, theirs = (float(weight @ product) for product in (v * t, v * v, t * t))
    likeness = cross / max(own * theirs, 1e-9) ** 0.5
    gain = min(max((theirs / max(own, 1e-9)) ** 0.5, 0.6), 1.7) if likeness > 0.3 else 1.0
    return gain * v - t, likeness


def likeness_at(patch: Patch, picture: NDArray[np.uint8], place: tuple[float, float],
                form: FloatArray = IDENTITY, *, noise: float = NOISE_LEAST) -> Laid:  # fmt: skip
    """How well the patch fits exactly there."""
    return _judged(patch, window_at(picture, place, patch.radius), place, form, noise)


def blurred(patch: Patch, way: Way) -> Patch:
    """The patch as a camera sees it that moves by `way` (pixels) while its shutter is open."""
    return make_patch(smear(patch.values, way), patch.radius, depth=patch.depth, say=patch.say)


def smear(values: Grey, way: Way) -> Grey:
    """Values as the mean along a way of so many pixels."""
    import cv2

    out = cv2.filter2D(values, -1, _streak(round(way[0], 1), round(way[1], 1)),
                       borderType=cv2.BORDER_REPLICATE)  # fmt: skip
    return np.asarray(out, dtype=np.float32)


@lru_cache(maxsize=64)
def _streak(across: float, down: float) -> Grey:
    """The kernel of a straight smear; its sum is 1."""
    length = float(np.hypot(across, down))
    side = 2 * int(np.ceil(length / 2)) + 3
    middle = side // 2
    kernel = np.zeros((side, side), np.float32)
    for share in np.linspace(-0.5, 0.5, max(2, round(4 * length))):
        x, y = middle + share * across, middle + share * down
        i, j = int(np.floor(x)), int(np.floor(y))
        fx, fy = x - i, y - j
        kernel[j : j + 2, i : i + 2] += np.array(
            [[(1 - fx) * (1 - fy), fx * (1 - fy)], [(1 - fx) * fy, fx * fy]], np.float32
        )
    return np.asarray(kernel / kernel.sum(), dtype=np.float32)
