"""From a decision in the file to `linebeat check`: what the user dropped or moved counts there."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Maker = Callable[..., Any]

OF = "accent/head/third/w4s1"  # the first main accent of the demo: "third"


@pytest.fixture
def scene(demo_scenes: Path, tmp_path: Path) -> Path:
    folder = tmp_path / "scene"
    shutil.copytree(demo_scenes / "lost_umbrella", folder)
    path = folder / "scene.yaml"
    text = path.read_text(encoding="utf-8")
    assert "\ndecisions:" not in text
    return folder


def decide(folder: Path, decision: str) -> None:
    path = folder / "scene.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_text(f"{text}\ndecisions:\n  - {decision}\n", encoding="utf-8")


def poses(folder: Path, *frames: int) -> Path:
    path = folder / "own.csv"
    rows = [f"{frame},clerk,head,own" for frame in frames]
    path.write_text("\n".join(["frame,who,part,name", *rows]) + "\n", encoding="utf-8")
    return path


def checked(linebeat: Maker, folder: Path, *frames: int) -> dict[str, Any]:
    made = poses(folder, *frames)
    found: dict[str, Any] = json.loads(
        linebeat("check", folder, "--poses", made, "--json", "-").out
    )
    return found


def of_third(found: dict[str, Any]) -> list[dict[str, Any]]:
    return [m for m in found["missed"] if (m["line"], m["text"]) == (1, "third")]


def hit_of(linebeat: Maker, folder: Path) -> int:
    plan = json.loads(linebeat("plan", folder, "--json", "-").out)
    hit: int = next(s["hit"] for s in plan["suggestions"] if s["id"] == OF)
    return hit


def test_a_dropped_accent_is_not_missed(linebeat: Maker, scene: Path) -> None:
    before = checked(linebeat, scene, 1300)
    assert [m["main"] for m in of_third(before)] == [True]

    decide(scene, f"{{of: {OF}, word: third, do: drop}}")
    after = checked(linebeat, scene, 1300)

    assert of_third(after) == []
    assert after["summary"]["main_accents"] == before["summary"]["main_accents"] - 1
    assert [m for m in before["missed"] if m not in of_third(before)] == after["missed"]


def test_a_moved_accent_is_checked_where_it_was_moved(linebeat: Maker, scene: Path) -> None:
    decide(scene, f"{{of: {OF}, word: third, do: move, by: 7}}")
    hit = hit_of(linebeat, scene)

    pose = checked(linebeat, scene, hit)["poses"][0]

    assert (pose["verdict"], pose["by_frames"], pose["stress"]["text"]) == ("lands", 0, "third")
    old = checked(linebeat, scene, hit - 7)["poses"][0]
    assert (old["verdict"], old["by_frames"]) == ("early", -7)


def test_a_lock_in_place_changes_no_verdict(linebeat: Maker, scene: Path) -> None:
    hit = hit_of(linebeat, scene)
    before = checked(linebeat, scene, hit, hit + 4)

    decide(scene, f"{{of: {OF}, word: third, do: lock, by: {hit - 1001}, frames: 9}}")

    assert hit_of(linebeat, scene) == hit
    assert checked(linebeat, scene, hit, hit + 4) == before
