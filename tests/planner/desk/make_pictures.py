"""Makes the README's pictures of the desk anew. Run: python tests/planner/desk/make_pictures.py

Look at each before committing it.
"""

from __future__ import annotations

import asyncio
import os
import shutil
import tempfile
from pathlib import Path

from planner.desk.run import open_app
from planner.desk.svg import standalone
from planner.files.demo import demo_scene

OUT = Path(__file__).parent / "pictures"
MOVE = ("m", "g", *"1018", "enter", "tab", "tab", "down", "full_stop")
MEND = ("m", "m", "tab", "full_stop", "full_stop")
PICTURES = {
    "desk_80x24": ((80, 24), "dark", MOVE),
    "desk_120x36": ((120, 36), "dark", ("down",)),
    "desk_200x50": ((200, 50), "dark", MOVE),
    "desk_mend_120x36": ((120, 36), "dark", MEND),
    "desk_light_120x36": ((120, 36), "light", MOVE),
    "desk_sixteen_120x36": ((120, 36), "sixteen", MOVE),
    "desk_plain_80x24": ((80, 24), "plain", ("down",)),
}


async def make(name: str, size: tuple[int, int], look: str, keys: tuple[str, ...]) -> None:
    """One picture, of a copy of the demo scene, as a desk opened for the first time shows it."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"XDG_STATE_HOME": folder, "LINEBEAT_LOOK": look}
        shutil.copytree(demo_scene().parent, Path(folder) / "scene")
        app = open_app(str(Path(folder) / "scene"))
        async with app.run_test(size=size) as pilot:
            for key in keys:
                await pilot.press(key)
                for _ in range(2):  # the plan, then the motion of it
                    await app.workers.wait_for_complete()
                    await pilot.pause()
            svg = standalone(app.export_screenshot(title=app.desk.scene.title))
    (OUT / f"{name}.svg").write_text(svg, encoding="utf-8")


def main() -> None:
    """All of them."""
    OUT.mkdir(exist_ok=True)
    for name, (size, look, keys) in PICTURES.items():
        asyncio.run(make(name, size, look, keys))


if __name__ == "__main__":
    main()
