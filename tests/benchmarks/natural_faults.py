"""Faults planted into natural motion, each where it can be seen, at a known place.

A fault takes drawings (tracks, drawings, 2), their names and how many there are a second, and
returns the spoilt drawings with the place, or None where the clip offers none. Sizes are shares of
the figure's height. A stroke lies between two slow moments of a point.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from tests.benchmarks.natural_material import HEIGHT_PX

STROKE = 0.12  # of the height, for a hand
HEAD_STROKE = 0.05
STROKE_S = (0.25, 1.2)
CURVED = 0.1  # of the chord: what is nearly straight by nature cannot be spoilt
POP = 0.03
JITTER, JITTER_S = 0.006, 0.6
FREEZE_S = 1.0
SLIDE, SLIDE_S = 0.05, 1.6
CALM = 0.012  # of the height within the time of a slide: a hold


@dataclass(frozen=True, slots=True)
class Planted:
    """A fault. first, last : drawings, inclusive; kinds : what a review may call it."""

    kinds: tuple[str, ...]
    parts: tuple[str, ...]
    first: int
    last: int


Spoilt = tuple[np.ndarray, Planted]
Fault = Callable[[np.ndarray, Sequence[str], float, np.random.Generator], Spoilt | None]


def _speed(path: np.ndarray, per_s: float) -> np.ndarray:
    from scipy.ndimage import gaussian_filter1d

    smooth = gaussian_filter1d(path, max(0.05 * per_s, 0.3), axis=0, mode="nearest")
    return np.asarray(np.linalg.norm(np.gradient(smooth, axis=0), axis=1) * per_s)


def strokes(path: np.ndarray, per_s: float) -> list[tuple[int, int]]:
    """First and last drawing of each stroke of a sensible length."""
    speed = _speed(path, per_s)
    slow = np.flatnonzero((speed[1:-1] <= speed[:-2]) & (speed[1:-1] < speed[2:])) + 1
    ends = [0, *slow.tolist(), len(path) - 1]
    pairs = pairwise(ends)
    return [(a, b) for a, b in pairs if STROKE_S[0] <= (b - a) / per_s <= STROKE_S[1]]


def chord(path: np.ndarray, ends: tuple[int, int]) -> float:
    """Way from end to end, as a share of the height."""
    return float(np.linalg.norm(path[ends[1]] - path[ends[0]])) / HEIGHT_PX


def bulge(path: np.ndarray, ends: tuple[int, int]) -> float:
    """Greatest distance from the chord over the chord."""
    way = path[ends[1]] - path[ends[0]]
    away = path[ends[0] : ends[1] + 1] - path[ends[0]]
    across = np.abs(away[:, 0] * way[1] - away[:, 1] * way[0])
    return float(across.max() / max(float(way @ way), 1e-9))


def travelled(path: np.ndarray) -> np.ndarray:
    """Share of the way done, shape (drawings,)."""
    done = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(path, axis=0), axis=1))])
    return np.asarray(done / max(float(done[-1]), 1e-9))


def _taken(part: str) -> tuple[str, ...]:
    """A part and what it takes along."""
    return (part, part.replace("hand", "fingers")) if "hand" in part else (part,)


def _hands(names: Sequence[str]) -> list[tuple[str, str]]:
    both = (("l_wrist", "left hand"), ("r_wrist", "right hand"))
    return [(name, part) for name, part in both if name in names]


def _moved(points: np.ndarray, names: Sequence[str], name: str, path: np.ndarray) -> np.ndarray:
    """The points with another path for one of them; a hand takes its fingertip along."""
    made = points.copy()
    at = names.index(name)
    tip = f"{name[0]}_fingertip"
    if tip in names:
        made[names.index(tip)] += path - points[at]
    made[at] = path
    return made


def straight(points: np.ndarray, names: Sequence[str], per_s: float, _: object) -> Spoilt | None:
    """A hand's curved stroke made straight, its timing kept."""
    found = [
        (chord(points[names.index(n)], s), n, part, s)
        for n, part in _hands(names) for s in strokes(points[names.index(n)], per_s)
        if chord(points[names.index(n)], s) > STROKE
        and bulge(points[names.index(n)], s) > CURVED
    ]  # fmt: skip
    if not found:
        return None
    _, name, part, (a, b) = max(found)
    path = points[names.index(name)].copy()
    share = travelled(path[a : b + 1])[:, None]
    path[a : b + 1] = path[a] + share * (path[b] - path[a])
    kinds = ("straight-path", "one-axis")
    return _moved(points, names, name, path), Planted(kinds, _taken(part), a, b)


def locked(points: np.ndarray, names: Sequence[str], per_s: float, _: object) -> Spoilt | None:
    """A chest that goes with the head's stroke, drawing by drawing, then finds its place again."""
    head, chest = points[names.index("head")], points[names.index("chest")]
    found = [(chord(head, s), s) for s in strokes(head, per_s) if chord(head, s) > HEAD_STROKE]
    if not found:
        return None
    _, (a, b) = max(found)
    path = chest.copy()
    path[a : b + 1] = chest[a] + 0.6 * (head[a : b + 1] - head[a])
    back = np.clip(np.arange(len(path) - b - 1) / (0.6 * per_s), 0, 1)
    back = 1 - back**3 * (10 - 15 * back + 6 * back**2)
    path[b + 1 :] += back[:, None] * (path[b] - chest[b])
    return _moved(points, names, "chest", path), Planted(("locked-parts",), ("chest",), a, b)


def dead_stop(points: np.ndarray, names: Sequence[str], per_s: float, _: object) -> Spoilt | None:
    """A hand's stroke at its greatest speed up to its end, where it stands."""
    found = []
    for name, part in _hands(names):
        path = points[names.index(name)]
        for a, b in strokes(path, per_s):
            if a < 2 or b + 0.3 * per_s > len(path):  # neither start nor stand could be seen
                continue
            after = path[b : b + max(round(0.2 * per_s), 2)]
            rests = np.linalg.norm(after - path[b], axis=1).max() < 0.15 * HEIGHT_PX * STROKE
            if chord(path, (a, b)) > STROKE and rests:
                found.append((chord(path, (a, b)), name, part, (a, b)))
    if not found:
        return None
    _, name, part, (a, b) = max(found)
    path = points[names.index(name)].copy()
    share = travelled(path[a : b + 1])
    peak = int(np.argmax(np.diff(share)))
    at = np.arange(b - a + 1, dtype=float)
    fast = share[peak] + (at - peak) * np.diff(share)[peak]
    made = np.where(at <= peak, share, np.minimum(fast, 1.0))
    inner = np.stack([np.interp(made, share, axis) for axis in path[a : b + 1].T], axis=1)
    arrives = a + int(np.argmax(made >= 1.0))
    path[a : b + 1] = inner
    kinds = ("rushed-settle", "even-spacing")
    return _moved(points, names, name, path), Planted(kinds, _taken(part), a, max(arrives, a + 2))


def pop(
    points: np.ndarray, names: Sequence[str], per_s: float, rng: np.random.Generator
) -> Spoilt | None:
    """A head out of place on one drawing, at a quiet moment."""
    path = points[names.index("head")].copy()
    speed = _speed(path, per_s)
    quiet = np.flatnonzero(speed < np.median(speed))
    quiet = quiet[(quiet > 6) & (quiet < len(path) - 6)]
    if not len(quiet):
        return None
    at, angle = int(rng.choice(quiet)), rng.uniform(0, 2 * np.pi)
    path[at] += POP * HEIGHT_PX * np.array([np.cos(angle), np.sin(angle)])
    return _moved(points, names, "head", path), Planted(("pop", "jitter"), ("head",), at, at)


def jitter(
    points: np.ndarray, names: Sequence[str], per_s: float, rng: np.random.Generator
) -> Spoilt | None:
    """A hand that shakes from drawing to drawing."""
    name, part = _hands(names)[0]
    path = points[names.index(name)].copy()
    length = round(JITTER_S * per_s)
    speed = _speed(path, per_s)
    if len(path) < length + 12:
        return None
    calm = [speed[k : k + length].max() for k in range(6, len(path) - length - 6)]
    if not calm:
        return None
    at = 6 + int(np.argmin(calm))
    path[at : at + length] += rng.normal(0, JITTER * HEIGHT_PX, (length, 2))
    made = _moved(points, names, name, path)
    return made, Planted(("jitter", "pop"), _taken(part), at, at + length - 1)


def freeze(
    points: np.ndarray, names: Sequence[str], per_s: float, rng: np.random.Generator
) -> Spoilt | None:
    """A head that does not move at all for a second, then finds its way back."""
    path = points[names.index("head")].copy()
    length = round(FREEZE_S * per_s)
    if len(path) < 2 * length:
        return None
    at = int(rng.integers(3, len(path) - length - round(0.5 * per_s)))
    still = path[at].copy()
    after = path[at + length :].copy()
    back = np.clip(np.arange(len(after)) / (0.5 * per_s), 0, 1)
    back = 1 - back**3 * (10 - 15 * back + 6 * back**2)
    path[at + length :] = after + back[:, None] * (still - path[at + length])
    path[at : at + length] = still
    made = _moved(points, names, "head", path)
    return made, Planted(("frozen",), ("head",), at, at + length - 1)


def drift(points: np.ndarray, names: Sequence[str], per_s: float, _: object) -> Spoilt | None:
    """A part that rests slides evenly, away from where it was."""
    length = round(SLIDE_S * per_s)
    found = []
    for name, part in (*_hands(names), ("head", "head"), ("chest", "chest")):
        path = points[names.index(name)]
        for k in range(4, len(path) - length - 4, 3):
            calm = float(np.ptp(path[k : k + length], axis=0).max())
            found.append((calm, name, part, k))
    if not found:
        return None
    calm, name, part, at = min(found)
    if calm > CALM * HEIGHT_PX:
        return None
    path = points[names.index(name)].copy()
    way = np.array([0.8, -0.6]) * SLIDE * HEIGHT_PX
    path[at:] += np.clip(np.arange(len(path) - at) / length, 0, 1)[:, None] * way
    return _moved(points, names, name, path), Planted(("drift",), _taken(part), at, at + length)


FAULTS: dict[str, Fault] = {
    "straight": straight, "locked": locked, "dead stop": dead_stop, "pop": pop, "jitter": jitter,
    "freeze 1 s": freeze, "drift": drift,
}  # fmt: skip
