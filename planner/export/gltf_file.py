"""The performance as glTF 2.0, binary (.glb): the whole cast, animated.

A node a bone (see `planner.motion.skeleton`), under a node a character that stands where the stage
says; plain blocks show them; jaw, eyes and brows are nodes of the head. One animation holds a
rotation a bone and frame as shown (STEP where the scene is on twos, else LINEAR). Metres, y up.
Written to the letter of the specification (Khronos, glTF 2.0); the test has it checked by the
Khronos validator. Pure.
"""

from __future__ import annotations

import json
import struct
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from audio.reading import FloatArray
from planner.export.facts import ShotFacts
from planner.motion.figure import TONES
from planner.motion.performance import CharacterMotion
from planner.motion.picture import HEAD_PX, places
from planner.motion.picture import WIDTH as PICTURE_WIDTH
from planner.motion.skeleton import HEAD_M, Skeleton, skeleton_of

FLOAT, SHORT = 5126, 5123  # component types of the specification
VERTICES, INDICES = 34962, 34963  # targets of buffer views
# Blocks, in heads: half sizes and the middle from the joint.
BLOCKS = {
    "Hips": ((0.42, 0.24, 0.26), (0, 0.04, 0)), "Chest": ((0.5, 0.48, 0.28), (0, 0.5, 0)),
    "Neck": ((0.12, 0.16, 0.12), (0, 0.12, 0.02)), "Head": ((0.47, 0.58, 0.5), (0, 0.5, 0.09)),
}  # fmt: skip
LIMB = 0.09  # heads, half a limb's width
FACE = {
    "jaw": ((0.2, 0.05, 0.1), (0, 0.12, 0.48)),
    "left eye": ((0.07, 0.07, 0.05), (0.19, 0.53, 0.54)),
    "right eye": ((0.07, 0.07, 0.05), (-0.19, 0.53, 0.54)),
    "left brow": ((0.13, 0.025, 0.03), (0.19, 0.7, 0.52)),
    "right brow": ((0.13, 0.025, 0.03), (-0.19, 0.7, 0.52)),
}  # fmt: skip
JAW_DEG, BROW_HEADS = 22.0, 0.1


@dataclass(slots=True)
class _File:
    """Buffers, and what refers to them."""

    data: bytearray = field(default_factory=bytearray)
    views: list[dict[str, Any]] = field(default_factory=list)
    accessors: list[dict[str, Any]] = field(default_factory=list)
    nodes: list[dict[str, Any]] = field(default_factory=list)
    meshes: list[dict[str, Any]] = field(default_factory=list)
    materials: list[dict[str, Any]] = field(default_factory=list)
    samplers: list[dict[str, Any]] = field(default_factory=list)
    channels: list[dict[str, Any]] = field(default_factory=list)

    def accessor(
        self, values: np.ndarray, kind: str, *, target: int | None = None, bounds: bool = False
    ) -> int:
        """Values in the buffer; the number of their accessor."""
        whole = values.dtype == np.uint16
        self.data += b"\0" * (-len(self.data) % 4)
        view: dict[str, Any] = {"buffer": 0, "byteOffset": len(self.data),
                                "byteLength": values.nbytes}  # fmt: skip
        if target is not None:
            view["target"] = target
        self.data += values.tobytes()
        self.views.append(view)
        entry: dict[str, Any] = {
            "bufferView": len(self.views) - 1, "componentType": SHORT if whole else FLOAT,
            "count": len(values), "type": kind,
        }  # fmt: skip
        if bounds:
            flat = values.reshape(len(values), -1)
            entry["min"], entry["max"] = flat.min(axis=0).tolist(), flat.max(axis=0).tolist()
        self.accessors.append(entry)
        return len(self.accessors) - 1

    def moves(self, node: int, path: str, times: int, values: FloatArray, how: str) -> None:
        """An animated property of a node."""
        kind = "VEC4" if path == "rotation" else "VEC3"
        output = self.accessor(np.ascontiguousarray(values, dtype=np.float32), kind)
        self.samplers.append({"input": times, "output": output, "interpolation": how})
        self.channels.append(
            {"sampler": len(self.samplers) - 1, "target": {"node": node, "path": path}}
        )

    def bytes(self, title: str, roots: list[int]) -> bytes:
        """The whole file: header, JSON, buffer."""
        self.data += b"\0" * (-len(self.data) % 4)
        document = {
            "asset": {"version": "2.0", "generator": "linebeat"}, "scene": 0,
            "scenes": [{"name": title, "nodes": roots}], "nodes": self.nodes,
            "meshes": self.meshes, "materials": self.materials, "accessors": self.accessors,
            "bufferViews": self.views, "buffers": [{"byteLength": len(self.data)}],
            "animations": [
                {"name": "performance", "channels": self.channels, "samplers": self.samplers}
            ],
        }  # fmt: skip
        text = json.dumps(document, ensure_ascii=False, separators=(",", ":")).encode("utf-8")
        text += b" " * (-len(text) % 4)
        total = 12 + 8 + len(text) + 8 + len(self.data)
        head = struct.pack("<4sII", b"glTF", 2, total)
        return (head + struct.pack("<I4s", len(text), b"JSON") + text
                + struct.pack("<I4s", len(self.data), b"BIN\0") + bytes(self.data))  # fmt: skip


def gltf_bytes(facts: ShotFacts) -> bytes:
    """The cast as a .glb."""
    made = _File()
    rate = float(facts.clock.rate.frames_per_s)
    count = facts.frames[1] - facts.frames[0] + 1
    times = made.accessor((np.arange(count) / rate).astype(np.float32), "SCALAR", bounds=True)
    how = "STEP" if facts.clock.step > 1 else "LINEAR"
    cast = [m for m in facts.performance.characters if m.who in facts.characters]
    at = places(facts.scene, tuple(m.who for m in cast))
    roots = []
    for k, motion in enumerate(cast):
        low = facts.frames[0] - motion.first_frame
        keep = slice(low, low + count)
        x = (at[motion.who] - 0.5 * PICTURE_WIDTH) / HEAD_PX * HEAD_M
        roots.append(_character(made, motion, rate, keep, times, how, x, TONES[k % len(TONES)]))
    return made.bytes(facts.title, roots)


def _character(
    made: _File, motion: CharacterMotion, rate: float, keep: slice, times: int, how: str, x: float,
    tone: str,
) -> int:  # fmt: skip
    """A character's nodes, meshes and moves; the number of its root node."""
    skeleton = skeleton_of(motion, rate)
    cloth, skin, ink = (_material(made, t) for t in (tone, "#f7f5f2", "#23272e"))
    top = len(made.nodes)
    made.nodes.append({"name": motion.who, "translation": [x, 0.0, 0.0], "children": [top + 1]})
    turns = quaternions(skeleton.turns[keep])
    for i, bone in enumerate(skeleton.bones):
        children = [top + 1 + k for k, b in enumerate(skeleton.bones) if b.parent == i]
        paint = skin if bone.name.endswith(("Head", "Neck", "Hand", "Fingers")) else cloth
        node: dict[str, Any] = {"name": f"{motion.who} {bone.name}", "mesh": _block(
            made, *_size(skeleton, i), paint)}  # fmt: skip
        if bone.parent >= 0:
            node["translation"] = list(bone.offset)
        if children:
            node["children"] = children
        made.nodes.append(node)
        made.moves(top + 1 + i, "rotation", times, turns[:, i], how)
    made.moves(top + 1, "translation", times, skeleton.root[keep], how)
    head = next(i for i, b in enumerate(skeleton.bones) if b.name == "Head")
    _face(made, motion, top + 1 + head, keep, times, how, (skin, ink))
    return top


def _size(skeleton: Skeleton, index: int) -> tuple[FloatArray, FloatArray]:
    """Half sizes and middle of a bone's block, metres."""
    bone = skeleton.bones[index]
    if bone.name in BLOCKS:
        half, middle = BLOCKS[bone.name]
        return np.array(half) * HEAD_M, np.array(middle) * HEAD_M
    end = np.array(bone.end)
    return np.maximum(np.abs(end) / 2, LIMB * HEAD_M), end / 2


def _face(
    made: _File, motion: CharacterMotion, head: int, keep: slice, times: int, how: str,
    paints: tuple[int, int],
) -> None:  # fmt: skip
    """Jaw, eyes and brows as nodes of the head. The picture's left is the character's right."""
    skin, ink = paints
    values = motion.exposed[keep]
    c = {name: values[:, i] for name, i in motion.table.index.items()}
    zero = np.zeros(len(values))
    for name, (half, middle) in FACE.items():
        node = len(made.nodes)
        place = np.array(middle) * HEAD_M
        paint = skin if name == "jaw" else ink
        mesh = _block(made, np.array(half) * HEAD_M, np.zeros(3), paint)
        made.nodes.append(
            {"name": f"{motion.who} {name}", "translation": place.tolist(), "mesh": mesh}
        )
        made.nodes[head].setdefault("children", []).append(node)
        if name == "jaw":
            made.moves(node, "rotation", times, _about(JAW_DEG * c["jaw.open"], zero), how)
        elif name.endswith("eye"):
            made.moves(node, "rotation", times, _about(-c["eyes.up"], c["eyes.turn"]), how)
        else:
            seen = "right" if name.startswith("left") else "left"
            lifted = np.tile(place, (len(values), 1))
            lifted[:, 1] += BROW_HEADS * HEAD_M * c[f"{seen} brow.raise"]
            made.moves(node, "translation", times, lifted, how)


def _about(down: FloatArray, turn: FloatArray) -> FloatArray:
    """Quaternions (x, y, z, w) of a turn about y, then down about x, in degrees."""
    a, b = np.radians(down) / 2, np.radians(turn) / 2
    found: FloatArray = np.stack(
        [
            np.sin(a) * np.cos(b),
            np.cos(a) * np.sin(b),
            -np.sin(a) * np.sin(b),
            np.cos(a) * np.cos(b),
        ],
        axis=1,
    )
    return found


def quaternions(turns: FloatArray) -> FloatArray:
    """Turns (..., 3, 3) as unit quaternions (x, y, z, w), neighbours on the same half.

    The largest of the four is found first (Shepperd 1978, J. Guidance and Control 1:223-224).
    """
    m = turns
    trace = np.trace(m, axis1=-2, axis2=-1)
    diagonal = np.stack([m[..., 0, 0], m[..., 1, 1], m[..., 2, 2], trace], axis=-1)
    best = np.argmax(diagonal, axis=-1)[..., None]
    xx, yy, zz = (m[..., k, k] for k in range(3))
    wx, wy, wz = (m[..., 2, 1] - m[..., 1, 2], m[..., 0, 2] - m[..., 2, 0],
                  m[..., 1, 0] - m[..., 0, 1])  # fmt: skip
    xy, xz, yz = (m[..., 0, 1] + m[..., 1, 0], m[..., 0, 2] + m[..., 2, 0],
                  m[..., 1, 2] + m[..., 2, 1])  # fmt: skip
    rows = (
        np.stack([1 + xx - yy - zz, xy, xz, wx], axis=-1),
        np.stack([xy, 1 - xx + yy - zz, yz, wy], axis=-1),
        np.stack([xz, yz, 1 - xx - yy + zz, wz], axis=-1),
        np.stack([wx, wy, wz, 1 + trace], axis=-1),
    )
    found: FloatArray = np.select([best == k for k in range(4)], rows)
    found = found / np.linalg.norm(found, axis=-1, keepdims=True)
    agree = np.sum(found[1:] * found[:-1], axis=-1)
    sign = np.cumprod(np.where(agree < 0, -1.0, 1.0), axis=0)
    found[1:] *= sign[..., None]
    return found


def _material(made: _File, tone: str) -> int:
    red, green, blue = (int(tone[k : k + 2], 16) / 255 for k in (1, 3, 5))
    linear = [round(v**2.2, 4) for v in (red, green, blue)]
    made.materials.append(
        {"pbrMetallicRoughness": {"baseColorFactor": [*linear, 1.0], "metallicFactor": 0.0,
                                  "roughnessFactor": 0.9}}
    )  # fmt: skip
    return len(made.materials) - 1


def _block(made: _File, half: FloatArray, middle: FloatArray, material: int) -> int:
    """A rounded block (an ellipsoid of few faces) as a mesh; its number."""
    rings, around = 7, 12
    lat = np.linspace(-np.pi / 2, np.pi / 2, rings)
    lon = np.linspace(0, 2 * np.pi, around, endpoint=False)
    unit = np.array([[np.cos(a) * np.sin(b), np.sin(a), np.cos(a) * np.cos(b)]
                     for a in lat for b in lon])  # fmt: skip
    square = np.sign(unit) * np.abs(unit) ** 0.6  # between a ball and a box
    points = (square * half + middle).astype(np.float32)
    normal = unit / half
    normal = (normal / np.linalg.norm(normal, axis=1, keepdims=True)).astype(np.float32)
    faces = []
    for r in range(rings - 1):
        for k in range(around):
            a, b = r * around + k, r * around + (k + 1) % around
            c, d = a + around, b + around
            # At the poles the ring is one point: one of the two triangles has no area.
            faces += [a, b, d] if r > 0 else []
            faces += [a, d, c] if r < rings - 2 else []
    made.meshes.append({"primitives": [{
        "attributes": {
            "POSITION": made.accessor(points, "VEC3", target=VERTICES, bounds=True),
            "NORMAL": made.accessor(normal, "VEC3", target=VERTICES),
        },
        "indices": made.accessor(np.array(faces, dtype=np.uint16), "SCALAR", target=INDICES),
        "material": material,
    }]})  # fmt: skip
    return len(made.meshes) - 1
