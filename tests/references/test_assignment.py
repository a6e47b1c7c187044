"""The pairing of poses and stresses against brute force and scipy's linear_sum_assignment."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.check.assign import Target, Window, assign

HEAD = Window(-4, 1, -8, 8, -2)

frames = st.lists(st.integers(0, 60), max_size=6).map(sorted)
weights = st.lists(st.integers(0, 3), min_size=6, max_size=6)


def targets_of(stresses: list[int], weight: list[int], window: Window = HEAD) -> list[Target]:
    return [Target(f, window, w) for f, w in zip(stresses, weight, strict=False)]


def worth(
    pairs: list[tuple[int, int]], poses: list[int], targets: list[Target]
) -> tuple[object, ...]:
    """What the module promises to make best: landed (strongest first), served, nearness."""
    order = sorted(range(len(targets)), key=lambda j: (-targets[j].weight, j))
    by = {j: poses[i] - targets[j].frame for i, j in pairs}
    return (
        tuple(j in by and targets[j].window.lands(by[j]) for j in order),
        tuple(j in by for j in order),
        -sum(abs(d - targets[j].window.due) for j, d in by.items()),
    )


def every_pairing(poses: list[int], targets: list[Target]):
    """All pairings that keep the order, by brute force."""
    for size in range(min(len(poses), len(targets)) + 1):
        for chosen in combinations(range(len(poses)), size):
            for served in combinations(range(len(targets)), size):
                pairs = list(zip(chosen, served, strict=True))
                if all(targets[j].window.reaches(poses[i] - targets[j].frame) for i, j in pairs):
                    yield pairs


@settings(max_examples=120, deadline=None)
@given(frames, frames, weights)
def test_no_pairing_in_order_is_better(
    poses: list[int], stresses: list[int], weight: list[int]
) -> None:
    targets = targets_of(stresses, weight)

    found = assign(poses, targets)

    pairs = [(i, j) for i, j in enumerate(found) if j is not None]
    assert pairs in list(every_pairing(poses, targets))
    assert worth(pairs, poses, targets) == max(
        worth(p, poses, targets) for p in every_pairing(poses, targets)
    )


@settings(max_examples=150, deadline=None)
@given(
    st.lists(st.integers(0, 300), max_size=30).map(sorted),
    st.lists(st.integers(0, 300), max_size=30).map(sorted),
)
def test_as_many_land_as_scipy_finds_without_the_order(
    poses: list[int], stresses: list[int]
) -> None:
    """With windows alike, keeping the order costs no landing (scipy.optimize, any order)."""
    from scipy.optimize import linear_sum_assignment

    by = np.subtract.outer(poses, stresses) if poses and stresses else np.zeros((0, 0))
    lands = (by >= HEAD.early) & (by <= HEAD.late)
    rows, columns = linear_sum_assignment(-lands.astype(float))

    found = assign(poses, [Target(f, HEAD) for f in stresses])

    landed = sum(HEAD.lands(poses[i] - stresses[j]) for i, j in enumerate(found) if j is not None)
    assert landed == int(lands[rows, columns].sum())


def test_nearest_neighbour_would_lose_a_stress() -> None:
    """Both poses are nearest to the first stress; the best pairing serves both stresses."""
    stresses = [100, 105]
    poses = [99, 101]

    nearest = {min(stresses, key=lambda s: abs(s - p)) for p in poses}
    found = assign(poses, [Target(f, HEAD) for f in stresses])

    assert nearest == {100}
    assert found == (0, 1)


@settings(max_examples=150, deadline=None)
@given(
    st.lists(st.integers(0, 200), max_size=20).map(sorted),
    st.lists(st.integers(0, 200), min_size=1, max_size=20).map(sorted),
    st.integers(0, 200),
)
def test_one_more_pose_never_loses_a_stress_that_was_landed_on(
    poses: list[int], stresses: list[int], extra: int
) -> None:
    targets = [Target(f, HEAD, i * 7 % 5) for i, f in enumerate(stresses)]

    def landed(rows: list[int]) -> set[int]:
        return {
            j for i, j in enumerate(assign(rows, targets))
            if j is not None and HEAD.lands(rows[i] - stresses[j])
        }  # fmt: skip

    assert landed(poses) <= landed(sorted([*poses, extra]))


@given(frames, frames, st.integers(-1000, 1000))
def test_shifting_everything_changes_nothing(
    poses: list[int], stresses: list[int], shift: int
) -> None:
    there = assign([p + shift for p in poses], [Target(f + shift, HEAD) for f in stresses])

    assert there == assign(poses, [Target(f, HEAD) for f in stresses])


def test_out_of_order_is_refused() -> None:
    with pytest.raises(ValueError, match="order of time"):
        assign([5, 3], [])
