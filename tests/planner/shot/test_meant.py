"""What is meant: accepted by kind, part and frames, tied to the words, kept in the scene."""

from __future__ import annotations

from pathlib import Path

import pytest

from audio.errors import SceneError, UsageError
from planner.scene import Meant
from planner.scene_file import parse_scene, read_scene, scene_to_text
from planner.shot.meant import Place, reason_for, with_meant

SNAP = Meant("straight-path", "clerk", "head", (1040, 1054), "a snap")


@pytest.mark.parametrize(
    ("told", "why"),
    [
        (Place("straight-path", "clerk", ("head",), (1041, 1055)), "a snap"),
        (Place("straight-path", "clerk", ("head", "chest"), (1050, 1070)), ""),
        (Place("pop", "clerk", ("head",), (1040, 1054)), ""),
        (Place("straight-path", "visitor", ("head",), (1040, 1054)), ""),
        (Place("straight-path", "clerk", ("chest",), (1040, 1054)), ""),
    ],
)
def test_a_finding_is_meant_if_kind_part_and_frames_fit(told: Place, why: str) -> None:
    assert reason_for(told, [SNAP]) == why


def test_what_is_meant_survives_the_scene_file(demo_scenes: Path) -> None:
    scene = read_scene(demo_scenes / "lost_umbrella" / "scene.yaml")
    told = Place("straight-path", "clerk", ("head",), (1040, 1054))

    changed = with_meant(scene, told, "a snap")
    again = parse_scene(scene_to_text(changed), file=scene.file)

    assert again.meant == (SNAP,)


def test_a_reason_is_wanted(demo_scenes: Path) -> None:
    scene = read_scene(demo_scenes / "lost_umbrella" / "scene.yaml")

    with pytest.raises(UsageError, match="why is it meant"):
        with_meant(scene, Place("pop", "clerk", ("head",), (1040, 1040)), " ")


def test_a_meant_without_a_reason_is_refused_in_the_file(demo_scenes: Path) -> None:
    text = (demo_scenes / "lost_umbrella" / "scene.yaml").read_text(encoding="utf-8")

    with pytest.raises(SceneError, match="why"):
        parse_scene(text + '\nmeant:\n  - {kind: pop, part: head, who: clerk, frames: 1040, '
                    'why: ""}\n', file="s.yaml")  # fmt: skip
