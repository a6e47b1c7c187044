"""The bundled tracks: every planted fault is found within a frame, the mended version is clean."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest

from planner.paths.review import PathReview, review_paths
from planner.paths.track_file import parse_csv, read_tracks
from planner.scene_file import read_scene

MAKER = Path(__file__).resolve().parents[3] / "demo_scenes" / "make_tracks.py"


def load_maker() -> ModuleType:
    spec = importlib.util.spec_from_file_location("make_tracks_for_tests", MAKER)
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


maker = load_maker()


@pytest.fixture(scope="module", params=[1, 2])
def version(request: pytest.FixtureRequest) -> int:
    return int(request.param)


def review_of(version: int) -> PathReview:
    folder = MAKER.parent / "lost_umbrella"
    scene = read_scene(folder / "scene.yaml")
    tracks = read_tracks(folder / f"tracks_v{version}.csv")
    return review_paths(tracks, clock=scene.clock, scene=scene, who="clerk")


@pytest.fixture(scope="module")
def first() -> PathReview:
    return review_of(1)


@pytest.fixture(scope="module")
def second() -> PathReview:
    return review_of(2)


@pytest.mark.parametrize("planted", maker.PLANTED, ids=lambda p: f"{p[0]}-{p[2][0]}")
def test_every_planted_fault_is_found_within_a_frame(
    first: PathReview, planted: tuple[str, tuple[str, ...], tuple[int, int]]
) -> None:
    kind, parts, frames = planted

    found = [f for f in first.findings if (f.kind, f.parts) == (kind, parts) and f.certain]

    assert [f for f in found if abs(f.frames[0] - frames[0]) <= 1
            and abs(f.frames[1] - frames[1]) <= 1], [f.frames for f in found]  # fmt: skip


def test_what_else_is_found_follows_from_what_was_planted(first: PathReview) -> None:
    """A move along x is straight too; fingers of a dead or frozen hand are still with it."""
    planted = {(kind, parts) for kind, parts, _ in maker.PLANTED}
    extra = {(f.kind, f.parts) for f in first.findings if f.certain} - planted

    assert extra <= {("frozen", ("left fingers",))}


def test_nothing_in_the_mended_version_is_certain(second: PathReview) -> None:
    assert [f.text for f in second.findings if f.certain] == []
    assert second.ok


def test_the_hold_that_slows_is_no_fault_in_either(first: PathReview, second: PathReview) -> None:
    _, frames = maker.SLOWING_HOLD
    for review in (first, second):
        ending = [m.frames[1] for m in review.moves if m.track == "clerk_nose"]
        assert any(abs(end - frames[0]) <= 1 for end in ending)
        assert not [f for f in review.findings if f.kind == "drift"
                    and f.frames[0] >= frames[0] - 2 and f.frames[1] <= frames[1] + 2]  # fmt: skip


def test_the_chest_follows_the_head_by_the_planted_three_frames(second: PathReview) -> None:
    pair = ("clerk_nose", "clerk_chest")
    lags = [
        lag for lag in second.lags
        if (lag.leader, lag.follower) == pair and lag.likeness > 0.97
    ]  # fmt: skip

    assert len(lags) >= 8
    assert all(abs(lag.lag_frames - 3.0) < 0.5 for lag in lags)


def test_the_files_are_what_the_maker_makes(version: int) -> None:
    file = MAKER.parent / "lost_umbrella" / f"tracks_v{version}.csv"
    made = parse_csv(maker.to_csv(maker.make(version == 1, 60 + version)))

    kept = read_tracks(file)

    assert kept.names == made.names
    assert abs(kept.points - made.points).max() <= 0.011  # a hundredth: rounding may differ
