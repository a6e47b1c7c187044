"""`plan --ids` lists what a decision can name, and a decision that names it holds."""

from __future__ import annotations

import shutil


def test_an_id_of_the_list_can_be_dropped_and_is_listed_as_dropped(
    linebeat, demo_scenes, tmp_path
) -> None:
    folder = shutil.copytree(demo_scenes / "night_kitchen", tmp_path / "scene")

    rows = linebeat("plan", folder, "--ids").out.splitlines()
    of = next(
        word for row in rows for word in row.split("  ") if word.strip().startswith("accent/")
    )
    with (folder / "scene.yaml").open("a") as file:
        file.write(f"decisions:\n  - {{of: {of}, do: drop}}\n")
    after = linebeat("plan", folder, "--ids").out.splitlines()

    assert any(of in row and row.endswith("drop") for row in after)
    assert len(after) >= len(rows) - 5
