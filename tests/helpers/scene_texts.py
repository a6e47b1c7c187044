"""Scene files as text, and what linebeat says of one it cannot take."""

from __future__ import annotations

from pathlib import Path

import pytest

from audio.errors import SceneError
from planner.scene_file import parse_scene

EXAMPLE = (Path(__file__).resolve().parents[1] / "planner" / "data" / "whole_scene.yaml").read_text(
    encoding="utf-8"
)
SMALL = """\
linebeat: 1
rate: 24
characters: [clerk]
lines:
  - {who: clerk, sound: a.wav, at: 1, say: good night}
"""


def said(text: str) -> str:
    """The error a text gives, as one line."""
    with pytest.raises(SceneError) as caught:
        parse_scene(text, file="scene.yaml")
    return caught.value.line()
