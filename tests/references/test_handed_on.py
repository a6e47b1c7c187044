"""Skeletons handed on, read back by others: BVH by pybvh and bvhio, glTF by the Khronos validator.

The joints' places that those readers work out are compared with our own, ours with the figure's.
"""

from __future__ import annotations

import json
import os
import shutil
import struct
import subprocess
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from planner.cli import main
from planner.commands._shared import load_shot
from planner.export.bvh_file import bvh_text
from planner.export.facts import ShotFacts, shot_facts
from planner.export.gltf_file import gltf_bytes, quaternions
from planner.motion.body import body_of
from planner.motion.skeleton import HEAD_M, joint_places, skeleton_of

DEMO = Path(__file__).parents[2] / "demo_scenes" / "lost_umbrella"
FRAMES = (1001, 1060)


@cache
def facts() -> ShotFacts:
    """Some frames of the bundled scene."""
    return shot_facts(load_shot(str(DEMO)), frames=FRAMES)


@pytest.fixture(scope="module")
def bvh(tmp_path_factory) -> Path:
    path = tmp_path_factory.mktemp("bvh") / "clerk.bvh"
    path.write_text(bvh_text(facts(), facts().performance.of("clerk")), encoding="utf-8")
    return path


def ours() -> tuple[list[str], np.ndarray]:
    """Names and places (frames, bones, 3) in centimetres."""
    skeleton = skeleton_of(facts().performance.of("clerk"), 24.0)
    places = 100 * joint_places(skeleton)[: FRAMES[1] - FRAMES[0] + 1]
    return [b.name for b in skeleton.bones], places


def test_pybvh_finds_the_joints_where_we_put_them(bvh: Path) -> None:
    pybvh = pytest.importorskip("pybvh")
    read = pybvh.read_bvh_file(str(bvh))
    names, places = ours()

    assert read.frame_count == FRAMES[1] - FRAMES[0] + 1
    assert read.fps == pytest.approx(24.0, abs=1e-3)
    found = read.node_positions()
    for name, place in zip(names, places.transpose(1, 0, 2), strict=True):
        assert np.abs(found[:, read.node_index[name]] - place).max() < 0.02  # cm


def test_bvhio_finds_the_joints_where_we_put_them(bvh: Path) -> None:
    bvhio = pytest.importorskip("bvhio")
    root = bvhio.readAsHierarchy(str(bvh))
    names, places = ours()
    for frame in (0, 17, 59):
        root.loadPose(frame)
        for name, place in zip(names, places[frame], strict=True):
            joint = root.filter(name, isEqual=True)[0]
            assert np.abs(np.array(joint.PositionWorld.to_tuple()) - place).max() < 0.02  # cm


def test_the_skeleton_goes_where_the_figure_goes() -> None:
    """Bones keep their length and the figure gives a little: a hand within a tenth of a head."""
    motion = facts().performance.of("clerk")
    body, skeleton = body_of(motion, 24.0), skeleton_of(motion, 24.0)
    places = joint_places(skeleton) / HEAD_M
    index = {b.name: i for i, b in enumerate(skeleton.bones)}
    apart = np.linalg.norm(
        (places[:, index["LeftHand"]] - places[:, 0])
        - (body.joints["right wrist"] - body.joints["hips"]), axis=1
    )  # fmt: skip

    assert np.median(apart) < 0.06
    assert apart.max() < 0.25


def test_a_quaternion_turns_as_its_matrix_does() -> None:
    skeleton = skeleton_of(facts().performance.of("visitor"), 24.0)
    x, y, z, w = np.moveaxis(quaternions(skeleton.turns), -1, 0)
    first = np.stack([1 - 2 * (y * y + z * z), 2 * (x * y + w * z), 2 * (x * z - w * y)], axis=-1)

    assert first == pytest.approx(skeleton.turns[..., :, 0], abs=1e-9)


def test_the_glb_is_what_its_header_says() -> None:
    """Layout of glTF 2.0, section 4.4: magic, version, length, JSON chunk, BIN chunk."""
    data = gltf_bytes(facts())
    magic, version, length = struct.unpack_from("<4sII", data)
    size, kind = struct.unpack_from("<I4s", data, 12)
    document = json.loads(data[20 : 20 + size])

    assert (magic, version, length, kind) == (b"glTF", 2, len(data), b"JSON")
    assert {document["nodes"][i]["name"] for i in document["scenes"][0]["nodes"]} == {
        "clerk", "visitor",
    }  # fmt: skip
    assert len(document["animations"][0]["channels"]) > 40


def test_the_glb_passes_the_khronos_validator(tmp_path) -> None:
    """npm gltf-validator, where node and the package are (LINEBEAT_GLTF_VALIDATOR: its folder)."""
    folder = os.environ.get("LINEBEAT_GLTF_VALIDATOR")
    if not folder or not shutil.which("node"):
        pytest.skip("no gltf-validator here (LINEBEAT_GLTF_VALIDATOR)")
    path = tmp_path / "cast.glb"
    path.write_bytes(gltf_bytes(facts()))
    script = (
        "const v = require('gltf-validator'), fs = require('fs');"
        f"v.validateBytes(new Uint8Array(fs.readFileSync({json.dumps(str(path))})))"
        ".then(r => console.log(JSON.stringify(r.issues)))"
    )
    run = subprocess.run(["node", "-e", script], cwd=folder, capture_output=True, text=True,
                         check=True, timeout=120)  # fmt: skip
    issues = json.loads(run.stdout)

    assert (issues["numErrors"], issues["numWarnings"]) == (0, 0), issues["messages"]


def test_a_folder_gets_a_skeleton_for_each_and_a_file_one(tmp_path, capsys) -> None:
    assert main(["sheet", str(DEMO), str(tmp_path) + "/", "--kind", "bvh"]) == 0
    made = sorted(p.name for p in tmp_path.iterdir())
    assert made == ["lost_umbrella_bvh_clerk.bvh", "lost_umbrella_bvh_visitor.bvh"]

    assert main(["sheet", str(DEMO), str(tmp_path / "x.bvh")]) == 2
    assert "add --who clerk" in capsys.readouterr().err
    assert main(["sheet", str(DEMO), str(tmp_path / "x.bvh"), "--who", "visitor"]) == 0
