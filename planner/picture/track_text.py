"""Followed points as a track file that `paths` reads, and told point by point."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from audio.reading import FloatArray
from planner.paths.ranges import runs
from planner.picture.frame_map import FrameMap, on_frames
from planner.picture.seen import LEAST, SURE, SeenPoints, Why

REASONS = {
    Why.COVERED: "covered, or no longer looks as it did",
    Why.LEFT: "left the picture",
    Why.CUT: "another shot",
    Why.PARTED: "followed from both sides it came to two places",
    Why.NOT_SHOWN: "the movie has no picture there",
    Why.BEFORE: "not followed so far",
}
RANGES_MAX = 6


def seen_on_frames(
    seen: SeenPoints, frames: FrameMap
) -> tuple[FloatArray, FloatArray, NDArray[np.int8]]:
    """Places, confidence and why, a column a frame."""
    places = on_frames(seen.places, frames)
    confidence = np.nan_to_num(on_frames(seen.confidence, frames))
    confidence[~np.isfinite(places[:, :, 0])] = 0.0
    why = seen.why[:, np.maximum(frames.pictures, 0)].copy()
    why[:, frames.pictures < 0] = Why.NOT_SHOWN
    return places, confidence, why


def tracks_text(
    names: Sequence[str], first_frame: int, places: FloatArray, confidence: FloatArray,
    *, remarks: Iterable[str] = (),
) -> str:  # fmt: skip
    """The CSV: `frame,NAME.x,NAME.y,NAME.confidence,...`, empty cells where nothing was seen.

    remarks : lines for people and for `pins`, written last.
    """
    head = ["frame", *(f"{name}.{what}" for name in names for what in ("x", "y", "confidence"))]
    lines = [",".join(head)]
    for index in range(places.shape[1]):
        cells = [str(first_frame + index)]
        for point in range(len(names)):
            x, y = places[point, index]
            known = bool(np.isfinite(x))
            cells += [f"{x:.2f}", f"{y:.2f}"] if known else ["", ""]
            cells.append(f"{confidence[point, index]:.2f}" if known else "")
        lines.append(",".join(cells))
    lines += [line if line.startswith("#") else f"# {line}" for line in remarks]
    return "\n".join(lines) + "\n"


def told_points(
    names: Sequence[str], first_frame: int, confidence: FloatArray, why: NDArray[np.int8]
) -> Iterator[str]:
    """A line a point: how much of it was seen, where not and why, where it is unsure."""
    for point, name in enumerate(names):
        seen = confidence[point] >= LEAST
        parts = [f"{name}: on {int(seen.sum())} of {len(seen)} frames"]
        for reason, said in REASONS.items():
            gone = ~seen & (why[point] == reason)
            if gone.any():
                parts.append(f"{_ranges(gone, first_frame)} {said}")
        unsure = seen & (confidence[point] < SURE)
        if unsure.any():
            parts.append(f"unsure on {_ranges(unsure, first_frame)}")
        yield "; ".join(parts)


def _ranges(mask: NDArray[np.bool_], first: int) -> str:
    begin, end = runs(mask)
    told = [
        f"{first + a}" if a == b else f"{first + a}-{first + b}"
        for a, b in zip(begin[:RANGES_MAX], end[:RANGES_MAX], strict=True)
    ]
    more = f" and {len(begin) - RANGES_MAX} more places" if len(begin) > RANGES_MAX else ""
    return f"{', '.join(told)}{more}"
