"""Keys struck in a desk under test, each waited for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from planner.desk.actions import ACTIONS

if TYPE_CHECKING:
    from textual.pilot import Pilot

DOINGS = {action.id: action.do for action in ACTIONS if action.do is not None}


async def settle(pilot: Pilot[int], rounds: int = 1) -> None:
    """Wait for threads, and for what they posted; in more rounds, for what that began."""
    for _ in range(rounds):
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()


async def press(pilot: Pilot[int], *keys: str, rounds: int = 1) -> None:
    """Strike keys one by one."""
    for key in keys:
        await pilot.press(key)
        await settle(pilot, rounds)
