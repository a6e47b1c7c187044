"""The desk as pictures, few and stable: a hand-written plan, no blinking, three sizes.

`pytest --snapshot-update` makes them anew; look at each before committing it.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from planner.desk.app import DeskApp

MakeApp = Callable[..., DeskApp]
ACCENT_KEYS = ("tab", "tab", "down")
PICTURES = {
    "move_80x24": ((80, 24), (*ACCENT_KEYS, "]")),
    "mend_120x36": ((120, 36), ("f4", "g", *"1010", "enter", "a", *"head", "enter", "x")),
    "mean_200x50": ((200, 50), ("f2", "down", "S")),
}


@pytest.mark.parametrize("name", PICTURES)
def test_the_desk_looks_as_it_did(snap_compare, make_app: MakeApp, name: str) -> None:  # type: ignore[no-untyped-def]
    size, keys = PICTURES[name]

    async def settle(pilot) -> None:  # type: ignore[no-untyped-def]
        await pilot.app.workers.wait_for_complete()
        for key in keys:
            await pilot.press(key)
            await pilot.app.workers.wait_for_complete()
            await pilot.pause()

    assert snap_compare(make_app(), terminal_size=size, run_before=settle)


def test_the_readme_s_pictures_are_there_and_show_the_desk() -> None:
    folder = Path(__file__).parent / "pictures"
    for name in ("desk_80x24.svg", "desk_120x36.svg", "desk_200x50.svg"):
        svg = (folder / name).read_text(encoding="utf-8")
        text = " ".join(re.sub(r"<[^>]+>", " ", svg).split())
        assert "Lost Umbrella" in text
        assert ("stressed at" if name != "desk_120x36.svg" else "tagged") in text
