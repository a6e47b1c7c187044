"""`linebeat check` as a user calls it: table, JSON, exit codes, one line for every mistake."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Maker = Callable[..., Any]


@pytest.fixture
def scene(demo_scenes: Path) -> Path:
    return demo_scenes / "lost_umbrella"


def test_the_first_version_is_found_wanting_and_the_mended_one_is_not(
    linebeat: Maker, scene: Path
) -> None:
    first = linebeat("check", scene, "--poses", scene / "poses_v1.csv")
    second = linebeat("check", scene, "--poses", scene / "poses_v2.csv")

    assert (first.code, second.code) == (1, 0)
    assert "early by 6 for" in first.out
    assert "main accent without a pose" in first.out
    assert "early by" not in second.out


def test_json_is_alone_on_standard_output(linebeat: Maker, scene: Path) -> None:
    ran = linebeat("check", scene, "--poses", scene / "poses_v1.csv", "--json", "-")

    data = json.loads(ran.out)
    assert list(data) == ["linebeat", "ok", "poses", "missed", "findings", "summary"]
    assert data["ok"] is False


def test_against_tells_what_changed_and_which_notes_are_answered(
    linebeat: Maker, scene: Path
) -> None:
    files = ("--poses", scene / "poses_v2.csv", "--against", scene / "poses_v1.csv")

    told = linebeat("check", scene, *files)
    data = json.loads(linebeat("check", scene, *files, "--json", "-").out)

    assert 'clerk, head, "dry nod": 1283 to 1278, 5 frames earlier' in told.out
    assert "answered" in told.out
    assert {p["kind"] for p in data["against"]["gone"]} >= {
        "late", "early", "missed", "all-on-one-frame", "rushed-settle", "early-reaction",
    }  # fmt: skip
    assert [p for p in data["against"]["new"] if p["certain"]] == []
    assert [n["state"] for n in data["against"]["notes"]][:3] == ["answered"] * 3


def test_rules_decide_alone(linebeat: Maker, scene: Path) -> None:
    poses = ("--poses", scene / "poses_v1.csv")

    loose = linebeat("check", scene, *poses, "--expect", "50% of main accents")
    strict = linebeat(
        "check", scene, *poses, "--expect", "50% of main accents", "--expect", "no late poses",
        "--json", "-",
    )  # fmt: skip

    assert loose.code == 0
    assert "met: 50% of main accents" in loose.out
    assert strict.code == 1
    data = json.loads(strict.out)
    assert data["ok"] is False
    assert [e["met"] for e in data["expected"]] == [True, False]


def test_one_character_alone(linebeat: Maker, scene: Path) -> None:
    ran = linebeat(
        "check", scene, "--poses", scene / "poses_v1.csv", "--who", "visitor", "--json", "-"
    )

    assert {p["who"] for p in json.loads(ran.out)["poses"]} == {"visitor"}


def test_json_to_a_file(linebeat: Maker, scene: Path, tmp_path: Path) -> None:
    out = tmp_path / "check.json"

    ran = linebeat("check", scene, "--json", out)

    assert ran.out == ""
    assert json.loads(out.read_text(encoding="utf-8"))["linebeat"] == 1


def test_a_pose_outside_the_shot_is_stated(linebeat: Maker, scene: Path, tmp_path: Path) -> None:
    poses = tmp_path / "poses.csv"
    poses.write_text("frame,who,part,name\n9000,clerk,head,far\n", encoding="utf-8")

    ran = linebeat("check", scene, "--poses", poses)

    assert ran.code == 1
    assert "poses.csv:2: frame 9000 lies outside the shot" in ran.err


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--poses", "none.csv"), "no such poses file"),
        (("--against", "none.csv"), "no such poses file"),
        (("--who", "nobody"), 'no character "nobody"'),
        (("--expect", "most of it"), "is no rule"),
        (("--json", "no/such/folder/x.json"), "no folder"),
        (("--nonsense",), "nonsense"),
    ],
)
def test_every_mistake_is_one_line(
    linebeat: Maker, scene: Path, arguments: tuple[str, ...], says: str
) -> None:
    ran = linebeat("check", scene, *arguments)

    assert (ran.code, ran.out) == (2, "")
    assert len(ran.err.strip().splitlines()) == 1
    assert says in ran.err


def test_poses_come_from_a_timeline_too(
    linebeat: Callable[..., Any], demo_scenes: Path, tmp_path: Path
) -> None:
    """The scene's own poses, out through OpenTimelineIO and in again, get the same verdicts."""
    pytest.importorskip("opentimelineio")
    scene = demo_scenes / "lost_umbrella"
    linebeat("sheet", scene, tmp_path / "shot.otio")

    own = json.loads(linebeat("check", scene, "--json", "-").out)
    back = json.loads(
        linebeat("check", scene, "--poses", tmp_path / "shot.otio", "--json", "-").out
    )

    assert own["poses"]
    assert back["poses"] == own["poses"]


@pytest.fixture
def unposed(scene: Path, tmp_path: Path) -> Path:
    """The scene without its key poses."""
    text = (scene / "scene.yaml").read_text(encoding="utf-8")
    kept = [row for row in text.splitlines() if not row.startswith(("poses:", "  - {frame: "))]
    for sound in scene.glob("*.flac"):
        (tmp_path / sound.name).write_bytes(sound.read_bytes())
    (tmp_path / "scene.yaml").write_text("\n".join(kept) + "\n", encoding="utf-8")
    return tmp_path


def test_a_scene_without_poses_is_told_so_and_nothing_else(linebeat: Maker, unposed: Path) -> None:
    ran = linebeat("check", unposed)
    data = json.loads(linebeat("check", unposed, "--json", "-").out)

    assert (ran.code, ran.out) == (1, "")
    assert ran.err == "note: no key poses yet; add poses: to the scene, or give --poses FILE\n"
    assert data["ok"] is False and data["missed"]


def test_a_sound_is_no_table_of_poses(linebeat: Maker, scene: Path) -> None:
    ran = linebeat("check", scene, "--poses", scene / "clerk_01.flac")

    assert ran.code == 2
    assert "clerk_01.flac: is a sound, no table of key poses; name a CSV file" in ran.err
