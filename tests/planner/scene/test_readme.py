"""The reference of the scene file says what the reader reads."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import planner.scene
from planner.scene.text import read, read_lines
from planner.scene_file import parse_scene

TEXT = (Path(planner.scene.__file__).parent / "README.md").read_text(encoding="utf-8")
BLOCKS = "".join(re.findall(r"```yaml\n(.*?)```", TEXT, re.DOTALL))


def test_all_its_examples_together_are_a_scene() -> None:
    scene = parse_scene(BLOCKS)

    assert scene.beats[0].words == (1, 4)
    assert len(scene.decisions) == 4
    assert scene.moved == ()


@pytest.mark.parametrize(
    "keys",
    [read.SECTIONS, read.BEAT_KEYS, read.CUE_KEYS, read.NOTE_KEYS, read.MEANT_KEYS,
     read.DECISION_KEYS, read_lines.LINE_KEYS],
    ids=["sections", "beats", "cues", "notes", "meant", "decisions", "lines"],
)  # fmt: skip
def test_no_key_is_missing(keys: tuple[str, ...]) -> None:
    assert [key for key in keys if not re.search(rf"\b{key}\b", TEXT)] == []
