"""`linebeat start --script` and `--into`: tags, beats and poses back into a scene file."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from planner.scene_file import read_scene

SCRIPT = "# Night\n\ncook: {sad 0.4} Not again. {amused} Ha!\n"


@pytest.fixture
def umbrella(demo_scenes: Path, tmp_path: Path) -> Path:
    folder = tmp_path / "umbrella"
    shutil.copytree(demo_scenes / "lost_umbrella", folder)
    return folder


@pytest.mark.parametrize("ending", [".md", ".txt"])
def test_a_script_that_nobody_changed_leaves_the_scene_file_as_it_is(
    linebeat, umbrella, tmp_path, ending
):
    before = (umbrella / "scene.yaml").read_bytes()
    assert linebeat("sheet", umbrella, tmp_path / f"s{ending}").code == 0

    ran = linebeat("start", "--into", umbrella, "--script", tmp_path / f"s{ending}")

    assert ran.code == 0
    assert (umbrella / "scene.yaml").read_bytes() == before


def test_a_changed_tag_changes_its_beat_and_keeps_the_comments(linebeat, umbrella, tmp_path):
    script = tmp_path / "s.md"
    linebeat("sheet", umbrella, script)
    script.write_text(script.read_text().replace("{teasing 0.7 toward", "{proud 0.9 toward"))

    ran = linebeat("start", "--into", umbrella, "--script", script)

    beat = read_scene(umbrella / "scene.yaml").beats[0]
    assert (ran.code, beat.intent, beat.strength) == (0, "proud", 0.9)
    assert "# on the counter" in (umbrella / "scene.yaml").read_text()
    assert (umbrella / "scene.yaml~").is_file()


@pytest.mark.parametrize("ending", [".otio", "_poses.csv"])
def test_poses_come_back_as_they_went_out(linebeat, umbrella, tmp_path, ending):
    before = read_scene(umbrella / "scene.yaml").poses
    kind = ("--kind", "poses") if ending.endswith("csv") else ()
    assert linebeat("sheet", umbrella, tmp_path / f"x{ending}", *kind).code == 0

    ran = linebeat("start", "--into", umbrella, "--poses", tmp_path / f"x{ending}")

    assert ran.code == 0
    assert read_scene(umbrella / "scene.yaml").poses == before


def test_beats_from_a_timeline_and_from_a_table_are_the_same(linebeat, umbrella, tmp_path):
    linebeat("sheet", umbrella, tmp_path / "x.otio")
    linebeat("sheet", umbrella, tmp_path / "x.csv", "--kind", "beats")
    found = []
    for name in ("x.otio", "x.csv"):
        assert linebeat("start", "--into", umbrella, "--beats", tmp_path / name).code == 0
        found.append(sorted(read_scene(umbrella / "scene.yaml").beats, key=repr))

    assert found[0] == found[1]
    assert len(found[0]) == 13


def test_a_script_alone_gives_a_scene_and_names_what_is_to_be_recorded(linebeat, tmp_path):
    (tmp_path / "s.md").write_text(SCRIPT)

    ran = linebeat("start", "--script", tmp_path / "s.md", "-o", tmp_path / "scene.yaml")

    assert ran.code == 0
    assert "still to be recorded: line_01.wav" in ran.err
    assert [b.intent for b in read_scene(tmp_path / "scene.yaml").beats] == ["sad", "amused"]


def test_a_clip_a_line_makes_a_scene_that_can_be_planned(linebeat, demo_scenes, tmp_path):
    (tmp_path / "s.md").write_text(SCRIPT)
    clip = demo_scenes / "night_kitchen" / "cook_01.flac"

    ran = linebeat("start", clip, "--copy", "--script", tmp_path / "s.md",
                   "-o", tmp_path / "scene.yaml")  # fmt: skip

    assert ran.code == 0
    assert "still to be recorded" not in ran.err
    assert linebeat("plan", tmp_path, "--json", "-").code == 0


def test_an_unknown_intent_is_said_at_its_place_in_the_script(linebeat, tmp_path):
    (tmp_path / "s.md").write_text("# Night\n\ncook: {teazing} Ha!\n")

    ran = linebeat("start", "--script", tmp_path / "s.md", "-o", tmp_path / "scene.yaml")

    assert ran.code == 2
    assert 's.md:3: unknown intent "teazing"; did you mean "teasing"?' in ran.err
    assert not (tmp_path / "scene.yaml").exists()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--beats", "x.csv"), "need a scene to go into"),
        (("--into", "scene"), "nothing to bring in"),
        (("--into", "scene", "--script", "gone.md"), "no such script"),
        (("--into", "scene", "--poses", "gone.otio"), "no such timeline file"),
        (("--into", "scene", "--beats", "gone.csv"), "no such beats file"),
        (("--script", "x.md", "--say", "words"), "--script says the words"),
    ],
)
def test_what_does_not_fit_together_is_one_line(linebeat, umbrella, monkeypatch, arguments, said):
    monkeypatch.chdir(umbrella.parent)
    umbrella.rename(umbrella.parent / "scene")

    ran = linebeat("start", *arguments)

    assert ran.code == 2
    assert said in ran.err
    assert len(ran.err.splitlines()) == 1
