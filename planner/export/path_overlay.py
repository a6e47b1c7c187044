"""The paths of followed points over the picture: a dot a frame, so that spacing is seen.

As a movie (the way of the last frames behind each point) or as one picture (the whole way of every
point over one frame). What was found worst is ringed with its name. Where a point was not seen its
way is broken; where it is unsure its dots are hollow. Needs the extra `picture-tracks`.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from audio.errors import OutputError
from audio.reading import FloatArray
from planner.export.movie import QUALITY, codec_of
from planner.paths.findings import Finding
from planner.picture.seen import SURE

Picture = NDArray[np.uint8]  # (h, w, 3), blue green red

TRAIL_FRAMES = 24  # of a path behind a point in the movie
NUMBER_EVERY = 12  # frames with their number on the picture
ROOM = 0.06  # of the picture round the paths of a still
WORST_MAX = 5  # findings ringed
DIM = 0.55  # of the picture's light under the paths of a still
COLOURS = (
    (63, 211, 255), (255, 198, 57), (184, 122, 255), (106, 240, 141), (64, 148, 255),
    (255, 166, 201), (255, 255, 255), (208, 240, 94),
)  # blue green red  # fmt: skip
DARK, RING = (20, 20, 20), (60, 60, 235)


@dataclass(frozen=True, slots=True, eq=False)
class Paths:
    """What is drawn: places (points, frames, 2), NaN where unseen; confidence; findings."""

    names: tuple[str, ...]
    first_frame: int
    places: FloatArray
    confidence: FloatArray
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class Ring:
    """A finding at the place where it is worst, on its frames."""

    frames: tuple[int, int]
    place: tuple[float, float]
    radius: float
    text: str


def rings_of(paths: Paths) -> list[Ring]:
    """The worst findings, certain ones first, each where its point is on its middle frame."""
    ranked = sorted(paths.findings, key=lambda f: not f.certain)
    rings = []
    for finding in ranked:
        name = next((t for t in finding.tracks if t in paths.names), None)
        if name is None:
            continue
        low = max(finding.frames[0] - paths.first_frame, 0)
        part = paths.places[
            paths.names.index(name), low : finding.frames[1] - paths.first_frame + 1
        ]
        known = part[np.isfinite(part[:, 0])]
        if len(known):
            middle = (known.min(axis=0) + known.max(axis=0)) / 2.0
            reach = float(np.max(np.linalg.norm(known - middle, axis=1)))
            text = f"{finding.kind.replace('-', ' ')} {finding.frames[0]}-{finding.frames[1]}"
            rings.append(Ring(finding.frames, (float(middle[0]), float(middle[1])), reach, text))
        if len(rings) == WORST_MAX:
            break
    return rings


def draw_frame(picture: Picture, paths: Paths, frame: int, rings: Sequence[Ring]) -> Picture:
    """A frame with the way that led to it."""
    out = picture.copy()
    unit = _unit(out)
    index = frame - paths.first_frame
    begin = max(index - TRAIL_FRAMES, 0)
    for k in range(len(paths.names)):
        _way(out, paths, k, begin, index, unit)
    taken: list[tuple[float, float]] = []
    for ring in rings:
        if ring.frames[0] - 2 <= frame <= ring.frames[1] + 6:
            _ring(out, ring, unit, taken)
    for k, name in enumerate(paths.names):
        if 0 <= index < paths.places.shape[1] and np.isfinite(paths.places[k, index, 0]):
            x, y = paths.places[k, index]
            _circle(out, (x, y), 6 * unit, COLOURS[k % len(COLOURS)], 2 * unit)
            _text(out, name, (x + 10 * unit, y - 9 * unit), COLOURS[k % len(COLOURS)], unit)
    _text(out, str(frame), (12 * unit, out.shape[0] - 14 * unit), (255, 255, 255), 1.5 * unit)
    return out


def draw_still(picture: Picture, paths: Paths, rings: Sequence[Ring]) -> Picture:
    """One picture, darker, with the whole way of every point."""
    out = np.asarray(picture * DIM, dtype=np.uint8)
    unit = _unit(out)
    last = paths.places.shape[1] - 1
    for k in range(len(paths.names)):
        _way(out, paths, k, 0, last, unit)
    for k, name in enumerate(paths.names):
        known = np.flatnonzero(np.isfinite(paths.places[k, :, 0]))
        for index in known[::NUMBER_EVERY]:
            at = paths.places[k, index] + (5 * unit, 14 * unit)
            if last <= 4 * NUMBER_EVERY:
                _text(out, str(paths.first_frame + index), at, (230, 230, 230), 0.6 * unit)
        if len(known):
            at = paths.places[k, known[-1]] + (10 * unit, -9 * unit)
            _text(out, name, at, COLOURS[k % len(COLOURS)], unit)
    taken: list[tuple[float, float]] = []
    for ring in rings:
        _ring(out, ring, unit, taken)
    return _cropped(out, paths, rings)


def _cropped(picture: Picture, paths: Paths, rings: Sequence[Ring]) -> Picture:
    """The part round the paths, so that spacing is seen."""
    known = paths.places[np.isfinite(paths.places[:, :, 0])]
    if not len(known):
        return picture
    around = [np.array(r.place) + s * (r.radius + 40) for r in rings for s in (-1.0, 1.0)]
    all_of = np.concatenate([known, np.array(around).reshape(-1, 2)])
    height, width = picture.shape[:2]
    margin = np.array([ROOM * width, ROOM * height])
    low = np.clip(np.floor(all_of.min(axis=0) - margin), 0, None).astype(int)
    high = np.ceil(all_of.max(axis=0) + margin + (0.6 * margin[0], 0.0)).astype(int)
    return np.ascontiguousarray(picture[low[1] : high[1], low[0] : high[0]])


def _unit(picture: Picture) -> float:
    """A pixel of a picture 1080 high, in this one."""
    return max(float(picture.shape[0]) / 1080.0, 0.45)


def _way(out: Picture, paths: Paths, k: int, begin: int, end: int, unit: float) -> None:
    colour = COLOURS[k % len(COLOURS)]
    way = paths.places[k, begin : end + 1]
    for one, other in pairwise(way):
        if np.isfinite(one[0]) and np.isfinite(other[0]):
            _line(out, one, other, DARK, 3.2 * unit)
            _line(out, one, other, colour, 1.4 * unit)
    for place, sure in zip(way, paths.confidence[k, begin : end + 1], strict=True):
        if np.isfinite(place[0]):
            _circle(out, place, 5.0 * unit, DARK, -1)
            _circle(out, place, 3.8 * unit, colour, -1 if sure >= SURE else max(1.0, unit))


def _fixed(place: Any) -> tuple[int, int]:
    """A place with four bits behind the point, as OpenCV takes it."""
    return round(float(place[0]) * 16), round(float(place[1]) * 16)


def _line(out: Picture, one: Any, other: Any, colour: tuple[int, int, int], width: float) -> None:
    import cv2

    cv2.line(out, _fixed(one), _fixed(other), colour, max(1, round(width)), cv2.LINE_AA, 4)


def _circle(out: Picture, place: Any, radius: float, colour: tuple[int, int, int], width: float
            ) -> None:  # fmt: skip
    import cv2

    thick = -1 if width < 0 else max(1, round(width))
    cv2.circle(out, _fixed(place), round(radius * 16), colour, thick, cv2.LINE_AA, 4)


def _ring(
    out: Picture, ring: Ring, unit: float, taken: list[tuple[float, float]] | None = None
) -> None:
    radius = ring.radius + 16 * unit
    _circle(out, ring.place, radius, DARK, 5 * unit)
    _circle(out, ring.place, radius, RING, 2.6 * unit)
    x, y = ring.place[0] - radius, ring.place[1] + radius + 20 * unit
    # Names of rings that lie on one another stand below one another.
    while taken and any(abs(x - a) < 340 * unit and abs(y - b) < 22 * unit for a, b in taken):
        y += 23 * unit
    if taken is not None:
        taken.append((x, y))
    _text(out, ring.text, (x, y), (150, 150, 255), unit)


def _text(out: Picture, text: str, place: Any, colour: tuple[int, int, int], unit: float) -> None:
    import cv2

    size, face = 0.62 * unit, cv2.FONT_HERSHEY_SIMPLEX
    x = min(max(round(float(place[0])), 2), out.shape[1] - 20)
    y = min(max(round(float(place[1])), 14), out.shape[0] - 4)
    cv2.putText(out, text, (x, y), face, size, DARK, max(3, round(4 * unit)), cv2.LINE_AA)
    cv2.putText(out, text, (x, y), face, size, colour, max(1, round(1.5 * unit)), cv2.LINE_AA)


def png_bytes(picture: Picture) -> bytes:
    """A picture as PNG."""
    import cv2

    done, packed = cv2.imencode(".png", picture, [cv2.IMWRITE_PNG_COMPRESSION, 9])
    if not done:
        raise OutputError("the picture could not be packed")
    return bytes(packed.tobytes())


def overlay_movie(pictures: Iterator[Picture], rate: Fraction) -> bytes:
    """Drawn pictures as MP4, one after the other."""
    import av as found

    av: Any = found
    out = io.BytesIO()
    with av.open(out, "w", format="mp4") as movie:
        stream = None
        for k, picture in enumerate(pictures):
            even = np.ascontiguousarray(picture[: picture.shape[0] // 2 * 2,
                                                : picture.shape[1] // 2 * 2])  # fmt: skip
            if stream is None:
                stream = movie.add_stream(codec_of(av), rate=rate)
                stream.height, stream.width = even.shape[:2]
                stream.pix_fmt = "yuv420p"
                stream.options = QUALITY.get(stream.codec_context.name, {})
            frame = av.VideoFrame.from_ndarray(even, format="bgr24")
            frame.pts, frame.time_base = k, 1 / rate
            movie.mux(stream.encode(frame))
        if stream is not None:
            movie.mux(stream.encode(None))
    return out.getvalue()
