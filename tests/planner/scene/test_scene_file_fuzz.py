"""Whatever stands in a scene file, reading gives a scene or one SceneError, and saving too."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from audio.errors import SceneError
from planner.scene import Scene
from planner.scene.text.plain import scene_plain
from planner.scene.text.splice import spliced
from planner.scene_file import parse_scene, read_scene

EXAMPLE = (Path(__file__).resolve().parents[1] / "data" / "whole_scene.yaml").read_text(
    encoding="utf-8"
)
SHAPES = ["{", "}", "[", "]", ": ", ":", "- ", "? ", "\n", "\n  ", "\n    ", "\t", "#", " #", "'",
          '"', "|", ">", "|+\n", "&a ", "*a", "!", "!!int ", "---\n", "...\n", "%YAML 1.1\n", ",",
          "\\", "\r\n", "\r", "\u2028", "\x85", "\ufeff", "\x00", "\ud800", "~", "null", "<<: ",
          "-1", "0", "1e9", "99999999999", "1:30", "0.5s", "-0.5s", "nan", ".inf", "1-4", "4-1",
          "1001", "clerk", "third", "line", "words", "beats:", "lines:", "notes:", "linebeat: 1",
          "[" * 20, "- " * 20, "\U0001f469", "\u0663", "\u00b2"]  # fmt: skip
PIECES = st.one_of(st.sampled_from(SHAPES), st.text(max_size=6))


def read_or_refused(text: str) -> Scene | None:
    """The scene, or None if it was refused in the way a user can use."""
    try:
        return parse_scene(text, file="scene.yaml")
    except SceneError as error:
        line = error.line()
        assert line.startswith("scene.yaml:")
        assert "\n" not in line and len(line) < 2000
        return None


@given(st.lists(PIECES, max_size=40).map("".join))
@settings(max_examples=400, deadline=None)
def test_shapeless_text_is_refused_in_one_line(text: str) -> None:
    read_or_refused(text)
    read_or_refused("linebeat: 1\nrate: 24\ncharacters: [a]\n" + text)


@st.composite
def mutations(draw: st.DrawFn) -> str:
    """The example with a few places cut, doubled or overwritten."""
    text = EXAMPLE
    for _ in range(draw(st.integers(1, 3))):
        start = draw(st.integers(0, len(text)))
        end = min(len(text), start + draw(st.integers(0, 12)))
        piece = draw(st.one_of(PIECES, st.just(""), st.just(text[start:end] * 2)))
        text = text[:start] + piece + text[end:]
    return text


@given(mutations())
@settings(max_examples=600, deadline=None)
def test_a_damaged_scene_is_read_or_refused_and_can_still_be_saved(text: str) -> None:
    """What can be read can be saved with a change, or the save is refused; never garbled."""
    scene = read_or_refused(text)
    if scene is None:
        return
    wanted = replace(scene, title="Another: title", notes=scene.notes[1:], beats=(), handles=7)
    try:
        written = spliced(text, wanted, file="scene.yaml")
    except SceneError:
        return
    assert scene_plain(parse_scene(written)) == scene_plain(wanted)


@given(st.binary(max_size=200))
@settings(max_examples=200, deadline=None)
def test_any_bytes_are_refused_in_one_line(data: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "scene.yaml"
        path.write_bytes(data)
        try:
            read_scene(path)
        except SceneError as error:
            assert error.where.startswith(str(path))
        else:
            raise AssertionError("200 random bytes are no scene")
