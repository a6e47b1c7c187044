"""What is found below a folder, and what is left alone."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from made_clips import write_clip, write_scene

from planner.many.find import clip_item, list_files, loose_clips, scene_item


def names(root: Path) -> tuple[list[str], list[str]]:
    listed = list_files(root)
    return listed.scenes, listed.clips


def test_scenes_and_clips_are_found_at_any_depth_sorted(tmp_path: Path) -> None:
    for name in ("b/z.wav", "a/deep/er/x.FLAC", "b/a.mp3", "notes.txt", "b/pic.png"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_bytes(b"x")
    write_scene(tmp_path / "b" / "scene.yaml", ["z.wav"])
    write_scene(tmp_path / "night.yml", ["b/a.mp3"])

    assert names(tmp_path) == (["b/scene.yaml", "night.yml"],
                               ["a/deep/er/x.FLAC", "b/a.mp3", "b/z.wav"])  # fmt: skip


@pytest.mark.parametrize(
    ("text", "is_scene"),
    [
        ("linebeat: 1\n", True),
        ("# a remark\n\n'linebeat': 1\n", True),
        ('{"linebeat": 1, "rate": 24}', True),
        ("\ufefflinebeat: 1\n", True),
        ("name: ci\nsteps: [linebeat]\n", False),
        ("  # linebeat: 1\n", False),
        ("", False),
    ],
)
def test_a_yaml_file_is_a_scene_if_it_has_the_key(
    tmp_path: Path, text: str, is_scene: bool
) -> None:
    (tmp_path / "x.yaml").write_text(text, encoding="utf-8")

    assert names(tmp_path)[0] == (["x.yaml"] if is_scene else [])


def test_a_file_called_scene_yaml_is_a_scene_whatever_it_holds(tmp_path: Path) -> None:
    (tmp_path / "scene.yaml").write_text("nonsense")

    item = scene_item(tmp_path, list_files(tmp_path).scenes[0])

    assert item.problem.startswith("scene.yaml:1: ")


def test_hidden_files_and_folders_are_left_out(tmp_path: Path) -> None:
    for name in (".git/a.wav", "a/.b/c.wav", "a/.hidden.wav", "a/seen.wav"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_bytes(b"x")

    assert names(tmp_path)[1] == ["a/seen.wav"]


def test_a_loop_of_links_ends(tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    (tmp_path / "a" / "up").symlink_to(tmp_path)
    (tmp_path / "a" / "self.wav").symlink_to("self.wav")
    (tmp_path / "a" / "x.wav").write_bytes(b"x")

    listed = list_files(tmp_path)

    assert listed.clips == ["a/x.wav"]
    assert listed.links == 1
    assert [name for name, _ in listed.problems] == ["a/self.wav"]


def test_links_out_of_the_folder_are_not_followed_those_within_are(tmp_path: Path) -> None:
    outside = write_clip(tmp_path / "outside" / "secret.wav")
    root = tmp_path / "root"
    inside = write_clip(root / "take1.wav")
    (root / "stolen.wav").symlink_to(outside)
    (root / "folder").symlink_to(outside.parent)
    (root / "best.wav").symlink_to(inside)

    listed = list_files(root)

    assert listed.clips == ["best.wav", "take1.wav"]
    assert listed.links == 2


def test_a_link_to_nothing_is_a_problem_of_one_file(tmp_path: Path) -> None:
    (tmp_path / "gone.wav").symlink_to("nowhere.wav")
    write_clip(tmp_path / "here.wav")

    listed = list_files(tmp_path)

    assert listed.clips == ["here.wav"]
    assert listed.problems == [("gone.wav", "cannot be read: No such file or directory")]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes here")
def test_a_pipe_with_a_sounds_name_is_not_opened(tmp_path: Path) -> None:
    """Opening it would wait for ever."""
    os.mkfifo(tmp_path / "pipe.wav")
    os.mkfifo(tmp_path / "scene.yaml")

    assert names(tmp_path) == ([], [])


@pytest.mark.skipif(os.geteuid() == 0, reason="root may look anywhere")
def test_a_folder_that_may_not_be_looked_into_is_told(tmp_path: Path) -> None:
    (tmp_path / "locked").mkdir(mode=0o000)

    assert list_files(tmp_path).problems == [("locked", "cannot be looked into: Permission denied")]


def test_a_text_beside_a_clip_is_its_transcript(tmp_path: Path) -> None:
    write_clip(tmp_path / "a.wav")
    write_clip(tmp_path / "b.wav")
    (tmp_path / "a.txt").write_text("good night")

    assert clip_item(tmp_path, "a.wav").text_name == "a.txt"
    assert clip_item(tmp_path, "b.wav").text_name is None


def test_a_clip_that_a_scene_uses_is_not_done_twice(tmp_path: Path) -> None:
    write_clip(tmp_path / "s" / "sub" / "a.wav")
    write_clip(tmp_path / "s" / "b.wav")
    (tmp_path / "s" / "again.wav").symlink_to("b.wav")
    write_scene(tmp_path / "s" / "scene.yaml", ["sub/a.wav", "./b.wav"])
    listed = list_files(tmp_path)
    item = scene_item(tmp_path, "s/scene.yaml")
    used = {os.path.realpath(tmp_path / name) for name in item.facts}

    assert list(item.facts) == ["s/scene.yaml", "s/sub/a.wav", "s/b.wav"]
    assert list(loose_clips(tmp_path, listed, used)) == []


def test_a_transcript_that_is_a_link_out_of_the_folder_is_not_read(tmp_path: Path) -> None:
    root = tmp_path / "root"
    root.mkdir()
    (tmp_path / "secret.txt").write_text("secret")
    (root / "a.wav").write_bytes(b"RIFF")
    (root / "a.txt").symlink_to(tmp_path / "secret.txt")

    assert clip_item(root, "a.wav").text_name is None
    assert list_files(root).links == 1
