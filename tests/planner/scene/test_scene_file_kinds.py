"""Files that are no scene, or written in another way: told in one line, or read all the same."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from scene_texts import EXAMPLE, SMALL, said

from audio.errors import SceneError
from planner.scene_file import parse_scene, read_scene


@pytest.mark.parametrize(
    ("text", "line_no"),
    [("a: 'x", 1), ("a: [b,\nc: d", 1), ("a: {b: c", 1), ("- a\nb: c", 2), ("a: @b", 1),
     ("a: b\n c: d", 2), ('a: "\\q"', 1), ("a: |\n\tx", 2), ("? [a]\n: b", 1)],
)  # fmt: skip
def test_what_is_no_yaml_is_one_line_with_its_place(text: str, line_no: int) -> None:
    assert said(text).startswith(f"scene.yaml:{line_no}: ")


@pytest.mark.parametrize(
    "text",
    ["[" * 100_000, "{a: " * 100_000, "- " * 100_000, "? " * 50_000, '"' + "a" * 900_000,
     "\n".join(f"k{i}: x" for i in range(80_000)), "a: [" + "x, " * 200_000 + "]",
     "a: &a [x]\nb: &b [*a,*a]\nc: [*b,*b,*b]\n"],
    ids=["lists", "maps", "dashes", "keys", "open quote", "many keys", "many items", "aliases"],
)  # fmt: skip
def test_bombs_are_refused(text: str) -> None:
    """In time too: `tests/fuzz` bounds the processor time of such inputs."""
    said(text)


def test_a_file_over_the_size_limit_is_no_scene(tmp_path: Path) -> None:
    path = tmp_path / "scene.yaml"
    path.write_text("title: " + "x" * 10_000_000)

    with pytest.raises(SceneError, match="larger than 1 MB"):
        read_scene(path)


@pytest.mark.parametrize(
    ("data", "what"),
    [(EXAMPLE.encode("utf-16"), r":1: the file is UTF-16"),
     (EXAMPLE.encode("utf-16-le"), r":1: the file is UTF-16"),
     (b"linebeat: 1\ntitle: caf\xe9\n", r":2: the file is not UTF-8 text; save it as UTF-8"),
     (b"linebeat: 1\ntitle: a\x07b\n", r":2: control character U\+0007 in the file; delete it"),
     (b"", r":1: the scene file is empty; make one with linebeat start"),
     (b"RIFF\x24\x08\x00\x00WAVEfmt ", r"is a sound, no scene file; make a scene of it with")],
    ids=["utf-16", "utf-16 without mark", "latin-1", "control", "empty", "sound"],
)  # fmt: skip
def test_other_encodings_are_said(tmp_path: Path, data: bytes, what: str) -> None:
    path = tmp_path / "scene.yaml"
    path.write_bytes(data)

    with pytest.raises(SceneError, match=what):
        read_scene(path)


@pytest.mark.parametrize("newline", ["\r\n", "\n"])
@pytest.mark.parametrize("mark", ["\ufeff", ""])
def test_byte_order_mark_and_crlf_are_read(tmp_path: Path, mark: str, newline: str) -> None:
    path = tmp_path / "scene.yaml"
    path.write_bytes((mark + EXAMPLE.replace("\n", newline)).encode())

    scene = read_scene(path)

    assert scene.beats == parse_scene(EXAMPLE).beats
    assert dict(scene.places) == dict(parse_scene(EXAMPLE).places)


def test_a_missing_file_and_a_folder_are_said(tmp_path: Path) -> None:
    with pytest.raises(SceneError, match="no such scene file; check the name"):
        read_scene(tmp_path / "nothing.yaml")
    with pytest.raises(SceneError, match="is a folder"):
        read_scene(tmp_path)


def test_a_pipe_is_no_scene(tmp_path: Path) -> None:
    """Opening one would wait for ever."""
    os.mkfifo(tmp_path / "scene.yaml")

    with pytest.raises(SceneError, match="no ordinary file"):
        read_scene(tmp_path / "scene.yaml")


@pytest.mark.parametrize(
    "name",
    ["../a.wav", "/etc/passwd", "sub/../../a.wav", "C:\\a.wav", "..\\a.wav", "~/a.wav", "link.wav",
     "loop/a.wav", "away/a.wav"],
)  # fmt: skip
def test_a_sound_outside_the_scenes_folder_is_refused(tmp_path: Path, name: str) -> None:
    folder = tmp_path / "scene"
    folder.mkdir()
    (tmp_path / "a.wav").touch()
    (folder / "link.wav").symlink_to(tmp_path / "a.wav")
    (folder / "loop").symlink_to(tmp_path)
    (folder / "away").symlink_to("..")
    path = folder / "scene.yaml"
    path.write_text(SMALL.replace("a.wav", f"'{name}'"))

    with pytest.raises(SceneError, match="lies outside the scene's folder"):
        read_scene(path)
    assert read_scene(path, allow_outside=True).lines[0].sound == name


def test_links_that_stay_in_the_folder_are_fine(tmp_path: Path) -> None:
    (tmp_path / "b.wav").touch()
    (tmp_path / "a.wav").symlink_to("b.wav")
    (tmp_path / "scene.yaml").write_text(SMALL)

    assert read_scene(tmp_path / "scene.yaml").lines[0].sound == "a.wav"
