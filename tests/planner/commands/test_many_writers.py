"""Several people note at once, one of them through a link: what was acknowledged is there."""

from __future__ import annotations

import os
import shutil
import sys
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import pytest

from planner.scene_file import read_scene

WRITERS, NOTES = 3, 6


def write(scene: str, who: int) -> int:
    """Says how many notes were acknowledged."""
    from planner.cli import main

    sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115, PTH123
    return sum(
        main(["note", scene, "add", f"note {who}.{n}", "--frames", "1001-1002"]) == 0
        for n in range(NOTES)
    )


@pytest.mark.skipif(os.name != "posix", reason="links and locks of a POSIX system")
def test_no_acknowledged_note_is_lost_and_none_refused(tmp_path: Path, demo_scenes: Path) -> None:
    shutil.copytree(demo_scenes / "lost_umbrella", tmp_path / "real")
    (tmp_path / "other").mkdir()
    for sound in (tmp_path / "real").glob("*.flac"):
        shutil.copy(sound, tmp_path / "other")
    real, link = tmp_path / "real" / "scene.yaml", tmp_path / "other" / "scene.yaml"
    link.symlink_to(real)
    before = len(read_scene(real).notes)

    with ProcessPoolExecutor(WRITERS) as pool:
        said = sum(pool.map(write, [str(real), str(link), str(real)], range(WRITERS)))

    there = [note.text for note in read_scene(real).notes[before:]]
    assert said == WRITERS * NOTES
    assert sorted(there) == sorted(f"note {w}.{n}" for w in range(WRITERS) for n in range(NOTES))
