"""Natural motion for the path review: captures of people, seen by a camera.

Material, fetched by package name into the cache of the tests and never committed:

- bvhtools 1.6.0 (MIT): three captures, 8 minutes, people who stand, walk, dance and gesture; the
  package does not say who captured them;
- bvhtoolbox 0.1.3 (MIT): one capture of 15 s.

`--from FOLDER` takes the BVH files of a folder instead (a public set that was fetched by hand).

Nine points of a figure 700 px high are seen by a camera that looks down by 10 degrees and from 35
degrees aside, without perspective. Clips of some seconds are kept in which the hips stay within
STANDS of the height, since dialogue is acted on the spot; the rest of a long capture is left out.
Positions shape (tracks, frames, 2), x right, y down, px.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from planner.paths.bvh import parse_bvh

HEIGHT_PX = 700.0
CLIP_S = 6.0
STANDS = 0.25  # of the height
YAW_DEG, PITCH_DEG = 35.0, 10.0
HAND = 0.6  # of the forearm, where a skeleton gives its hands no length
NAMES = ("head", "chest", "hips", "l_shoulder", "l_elbow", "l_wrist", "r_elbow", "r_wrist",
         "l_fingertip")  # fmt: skip
# one pattern a point, over the joint names of the usual skeletons, lower case without punctuation
JOINTS = {
    "head": r"(mixamorig)?(head|face)_end$", "chest": r"(mixamorig)?(spine2|chest2?|spine001)$",
    "hips": r"(mixamorig)?(hips?|spine|pelvis)$",
    "l_shoulder": r"(mixamorig)?(leftarm|leftshoulder|upperarml)$",
    "l_elbow": r"(mixamorig)?(leftforearm|leftelbow|lowerarml|forearml)$",
    "l_wrist": r"(mixamorig)?(lefthand|leftwrist|handl|forearml_end)$",
    "l_fingertip": r"(mixamorig)?(lefthand|leftwrist|handl)_end$",
    "r_elbow": r"(mixamorig)?(rightforearm|rightelbow|lowerarmr|forearmr)$",
    "r_wrist": r"(mixamorig)?(righthand|rightwrist|handr|forearmr_end)$",
}  # fmt: skip
PACKAGES = (
    ("bvhtools", "1.6.0", ("testBvhFiles/test.bvh", "testBvhFiles/test2.bvh",
                           "testBvhFiles/test3.bvh")),
    ("bvhtoolbox", "0.1.3", ("tests/example_files/test_mocapbank.bvh",)),
)  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class Clip:
    """Some seconds of one figure. points : shape (tracks, frames, 2), px."""

    name: str
    names: tuple[str, ...]
    rate: float
    points: np.ndarray


def package_files() -> list[Path]:
    """The captures of the packages, from the cache or the registry."""
    from tests.references.conftest import fetch_source

    return [fetch_source(n, v) / inside for n, v, files in PACKAGES for inside in files]


def clips_of(files: list[Path], *, seconds: float = CLIP_S) -> Iterator[Clip]:
    """All clips in which somebody acts on the spot."""
    for file in files:
        whole = seen(file)
        length = round(seconds * whole.rate)
        count = max(whole.points.shape[1] // length, 1)
        for k in range(count):
            points = whole.points[:, k * length : (k + 1) * length]
            hips = points[whole.names.index("hips")]
            if points.shape[1] < whole.rate or np.ptp(hips, axis=0).max() > STANDS * HEIGHT_PX:
                continue
            yield Clip(f"{file.stem} {k}", whole.names, whole.rate, points)


def seen(file: Path) -> Clip:
    """The points of a capture as the camera sees them."""
    text = with_hands(file.read_text(encoding="utf-8", errors="replace"))
    time = re.search(r"Frame Time:\s*([0-9.]+)", text)
    if time is None:
        raise ValueError(f"{file} has no frame time")
    tracks = parse_bvh(text, file=str(file))
    plain = [re.sub(r"[^a-z0-9_]", "", n.lower().replace("_l", "l").replace("_r", "r"))
             for n in tracks.names]  # fmt: skip
    found = {}
    for name in NAMES:
        at = next((i for i, n in enumerate(plain) if re.match(JOINTS[name], n)), None)
        if at is not None:
            found[name] = at
    height = float(np.median(np.ptp(tracks.points[:, :, 1], axis=0)))
    flat = camera(tracks.points[list(found.values())]) * HEIGHT_PX / height
    return Clip(file.stem, tuple(found), round(1.0 / float(time[1])), flat)


def with_hands(text: str) -> str:
    """The file with hands and heads that have a length, where their ends stand in the joint."""
    pattern = re.compile(
        r"(JOINT\s+\S*(?:[Hh]and|[Ww]rist|[Hh]ead|face)\S*\s*\{\s*OFFSET\s+(\S+)\s+(\S+)\s+(\S+)"
        r"[^{}]*End Site\s*\{\s*OFFSET\s+)(\S+)\s+(\S+)\s+(\S+)"
    )

    def mend(match: re.Match[str]) -> str:
        if any(abs(float(v)) > 1e-6 for v in match.groups()[4:]):
            return match[0]
        return match[1] + " ".join(f"{HAND * float(v):.6f}" for v in match.groups()[1:4])

    return pattern.sub(mend, text)


def camera(points: np.ndarray) -> np.ndarray:
    """Points in space (y up) in the picture (y down), shape (tracks, frames, 2)."""
    yaw, pitch = np.radians(YAW_DEG), np.radians(PITCH_DEG)
    x = np.cos(yaw) * points[..., 0] + np.sin(yaw) * points[..., 2]
    depth = -np.sin(yaw) * points[..., 0] + np.cos(yaw) * points[..., 2]
    y = np.cos(pitch) * points[..., 1] + np.sin(pitch) * depth
    return np.stack([x, -y], axis=-1)


def drawn(clip: Clip, *, rate: float, step: int) -> np.ndarray:
    """The clip as drawings, `rate` / `step` a second, shape (tracks, drawings, 2)."""
    from scipy.interpolate import CubicSpline

    count = clip.points.shape[1]
    times = np.arange(int((count - 1) / clip.rate * rate / step)) * step / rate
    return np.asarray(CubicSpline(np.arange(count) / clip.rate, clip.points, axis=1)(times))


def exposed(drawings: np.ndarray, *, step: int, noise_px: float, seed: int) -> np.ndarray:
    """Drawings held on `step` frames, each frame measured with a tracker's noise."""
    frames = np.repeat(drawings, step, axis=1)
    return frames + np.random.default_rng(seed).normal(0.0, 1.0, frames.shape) * noise_px
