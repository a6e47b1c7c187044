"""Makes the README's pictures of the desk anew. Run: python tests/planner/desk/make_pictures.py

Look at each before committing it.
"""

from __future__ import annotations

import asyncio
import shutil
import tempfile
from pathlib import Path

from planner.desk.run import open_app
from planner.desk.svg import standalone
from planner.files.demo import demo_scene

OUT = Path(__file__).parent / "pictures"
PICTURES = {
    "desk_80x24": ((80, 24), ("tab", "tab", "full_stop", "down", "down")),
    "desk_120x36": ((120, 36), ("3", "tab", "full_stop", "full_stop", "full_stop")),
    "desk_200x50": ((200, 50), ("tab", "tab", "full_stop", "down", "down", "full_stop")),
    "desk_mean_100x30": ((100, 30), ("1", "down", "down")),
}


async def make(name: str, size: tuple[int, int], keys: tuple[str, ...]) -> None:
    """One picture, of a copy of the demo scene."""
    with tempfile.TemporaryDirectory() as folder:
        shutil.copytree(demo_scene().parent, Path(folder) / "scene")
        app = open_app(str(Path(folder) / "scene"))
        async with app.run_test(size=size) as pilot:
            for key in keys:
                await pilot.press(key)
                await app.workers.wait_for_complete()
                await pilot.pause()
            svg = standalone(app.export_screenshot(title=app.desk.scene.title))
    (OUT / f"{name}.svg").write_text(svg, encoding="utf-8")


def main() -> None:
    """All of them."""
    OUT.mkdir(exist_ok=True)
    for name, (size, keys) in PICTURES.items():
        asyncio.run(make(name, size, keys))


if __name__ == "__main__":
    main()
