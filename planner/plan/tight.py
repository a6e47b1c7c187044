"""Where a plan has too little time: what it warns of, so that somebody gives the shot more.

Conventions: frames of the final suggestions, an exposure as the plan has it. Told are a line with
nothing that leads into it, a take over before it is read, an attitude taken up in fewer than three
exposures. All numbers are common practice.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import ceil

from planner.frames import EDGE_FRAMES
from planner.plan.context import LineContext
from planner.plan.on_frames import Grid
from planner.plan.suggestion import Suggestion
from planner.plan.time_words import counted
from planner.rules.pose import HELD, short_of_s

READ_S = 6 / 24  # a take in less is a twitch: in, and seen
TAKE_SIZE = 0.4  # a smaller reaction is no take
LEAST_EXPOSURES = 3  # a whole body changed in fewer is a cut


def tight_spots(
    order: Sequence[Suggestion], contexts: Mapping[int, LineContext], grid: Grid, step: int
) -> list[str]:
    """What is warned of, in the order of frames."""
    found: list[str] = []
    for s in order:
        length = s.frames[1] - s.frames[0]
        opened = contexts.get(s.line or 0) if s.kind == "pose" and s.path == HELD else None
        if opened is not None:
            found += _unled(opened, grid)
        elif s.kind == "pose" and 0 < length < LEAST_EXPOSURES * step:
            found.append(
                f"{s.who}'s attitude{_on(s)} at frame {s.frames[1]} is squeezed into "
                f"{counted(length)}: move what is before it, or drop one of the two"
            )
        elif s.kind == "reaction" and _unread(s, grid):
            found.append(
                f"{s.who}'s take at frame {s.frames[0]} is over in {counted(length)}, too short "
                f"to read: it needs {counted(ceil(READ_S * grid.frames_per_s - EDGE_FRAMES))}"
            )
    return found


def _unled(context: LineContext, grid: Grid) -> list[str]:
    """A line that opens the shot in its attitude, and the frames it lacks."""
    lacking = ceil(short_of_s(context) * grid.frames_per_s - EDGE_FRAMES)
    if lacking <= 0:
        return []
    return [
        f"line {context.inputs.line_id}: nothing leads into the line: give the shot "
        f"{counted(lacking)} before it (handles: or a later at:)"
    ]


def _unread(s: Suggestion, grid: Grid) -> bool:
    """Whether a take that moves more than the face is over before it is seen."""
    whole = s.part in ("whole", "head") and s.size >= TAKE_SIZE
    return whole and s.frames[1] - s.frames[0] < READ_S * grid.frames_per_s - EDGE_FRAMES


def _on(s: Suggestion) -> str:
    return f' on "{s.text}"' if s.text else ""
