"""The user's decisions laid over a new plan."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from planner.context import LineContext
from planner.on_frames import Grid
from planner.scene import Scene
from planner.suggestion import Suggestion


@dataclass(frozen=True, slots=True)
class Decided:
    """Suggestions after the user's decisions."""

    suggestions: tuple[Suggestion, ...]
    dropped: tuple[Suggestion, ...] = ()
    unplaced: tuple[dict[str, Any], ...] = ()
    warnings: tuple[str, ...] = ()


def decided(
    scene: Scene, found: Sequence[Suggestion], contexts: Mapping[int, LineContext], grid: Grid
) -> Decided:
    """Applies the scene's decisions."""
    return Decided(tuple(found))
