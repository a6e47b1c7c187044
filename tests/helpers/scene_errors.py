"""What linebeat says of a scene file it cannot take."""

from __future__ import annotations

import pytest

from audio.errors import SceneError
from planner.scene_file import parse_scene


def said(text: str) -> str:
    """The error a text gives, as one line."""
    with pytest.raises(SceneError) as caught:
        parse_scene(text, file="scene.yaml")
    return caught.value.line()
