"""What several findings share: lengths and parts in words, and the error of a reading."""

from __future__ import annotations

from collections.abc import Sequence

from planner.scene import Scene

READING_ERROR_MS = 40  # words of the demo against their synthesiser's own times
OFFSET_24 = (1, 6)  # frames at 24 between leader and follower, common practice


def milliseconds(scene: Scene, frames: int) -> int:
    """Frames in milliseconds."""
    return round(1000 * scene.rate.start_s(frames))


def frames_text(count: int) -> str:
    """As in "1 frame", "4 frames"."""
    return "1 frame" if count == 1 else f"{count} frames"


def span_text(low: int, high: int) -> str:
    """As in "1-6 frames"."""
    return frames_text(low) if low == high else f"{low}-{high} frames"


def listed(parts: Sequence[str]) -> str:
    """As in "head, chest and hips"."""
    names = list(dict.fromkeys(parts))
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
