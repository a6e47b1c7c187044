"""Keys struck in a desk under test, each waited for."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from textual.pilot import Pilot


async def settle(pilot: Pilot[int]) -> None:
    """Wait for threads, and for what they posted."""
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def press(pilot: Pilot[int], *keys: str) -> None:
    """Strike keys one by one."""
    for key in keys:
        await pilot.press(key)
        await settle(pilot)
