"""Timeline files that are damaged, made to be too deep, or full of impossible times."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from audio.errors import TableError
from planner.bring_in.timeline_file import read_marks
from planner.scene import Scene
from planner.scene_file import read_scene

otio = pytest.importorskip("opentimelineio")


@pytest.fixture(scope="module")
def scene(demo_scenes: Path) -> Scene:
    return read_scene(demo_scenes / "lost_umbrella" / "scene.yaml")


def marked(start: Any, duration: Any, rate: Any = 24.0) -> str:
    """A timeline of one marker, its numbers as they are given."""

    def time(value: Any) -> dict[str, Any]:
        return {"OTIO_SCHEMA": "RationalTime.1", "rate": rate, "value": value}

    span = {"OTIO_SCHEMA": "TimeRange.1", "start_time": time(start), "duration": time(duration)}
    marker = {"OTIO_SCHEMA": "Marker.2", "name": "beat: teasing", "color": "RED", "metadata": {},
              "marked_range": span}  # fmt: skip
    stack = {"OTIO_SCHEMA": "Stack.1", "children": [], "markers": [marker], "effects": [],
             "metadata": {}, "name": "tracks", "source_range": None, "enabled": True}  # fmt: skip
    return json.dumps({"OTIO_SCHEMA": "Timeline.1", "name": "a", "metadata": {},
                       "global_start_time": None, "tracks": stack})  # fmt: skip


def test_a_plain_one_is_read(tmp_path: Path, scene: Scene) -> None:
    (tmp_path / "a.otio").write_text(marked(24.0, 12.0))
    (mark,) = read_marks(tmp_path / "a.otio", scene)
    assert mark.frames == (1025, 1036)


@pytest.mark.parametrize(("start", "duration", "rate"), [
    (float("nan"), 1.0, 24.0), (1e308, 1.0, 24.0), (1.0, 1e308, 24.0), (1.0, float("nan"), 24.0),
    (1.0, 1.0, 0.0), (float("-inf"), 1.0, 24.0), (1.0, 1.0, float("nan")), ("1", 1.0, 24.0),
    (None, None, 24.0),
])  # fmt: skip
def test_a_time_that_cannot_be_is_one_clear_line(
    tmp_path: Path, scene: Scene, start: Any, duration: Any, rate: Any
) -> None:
    (tmp_path / "a.otio").write_text(marked(start, duration, rate))
    with pytest.raises(TableError, match="no timeline that can be read"):
        read_marks(tmp_path / "a.otio", scene)


def test_brackets_without_end_do_not_end_the_process(tmp_path: Path, scene: Scene) -> None:
    deep = '{"OTIO_SCHEMA": "Timeline.1", "tracks": ' + "[" * 200_000 + "]" * 200_000 + "}"
    (tmp_path / "a.otio").write_text(deep)
    with pytest.raises(TableError, match="nested deeper"):
        read_marks(tmp_path / "a.otio", scene)
