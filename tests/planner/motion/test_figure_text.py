"""The figure as text: its size, its ink, that it moves, and that a part alone gives the same."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from planner.commands._shared import load_shot
from planner.export.facts import ShotFacts, shot_facts
from planner.motion.figure import figure_at, figure_of
from planner.motion.figure_text import figure_dots, figure_text

DEMOS = Path(__file__).parents[3] / "demo_scenes"


@cache
def facts() -> ShotFacts:
    """The bundled scene."""
    return shot_facts(load_shot(str(DEMOS / "lost_umbrella")))


@pytest.mark.parametrize("size", [(12, 8), (24, 14), (40, 24), (1, 1)])
@pytest.mark.parametrize("blocks", [False, True])
def test_a_figure_fills_its_cells_and_no_more(size: tuple[int, int], blocks: bool) -> None:
    columns, rows = size
    shapes, points = figure_at(facts().performance.of("clerk"), 24.0, 1018)
    lines = figure_text(shapes, points, columns=columns, rows=rows, blocks=blocks)

    assert [len(line) for line in lines] == [columns] * rows
    letters = set("".join(lines))
    assert letters <= (set(" ▀▄█") if blocks else {chr(c) for c in range(0x2800, 0x2900)})


def test_braille_cells_hold_the_dots_of_the_standard() -> None:
    """Dot numbers 1 2 3 7 down the left, 4 5 6 8 down the right (ISO/IEC 10646, U+2800)."""
    shapes, points = figure_at(facts().performance.of("clerk"), 24.0, 1018)
    dots = figure_dots(shapes, points, 2 * 24, 4 * 14)
    lines = figure_text(shapes, points, columns=24, rows=14)
    order = [(0, 0), (1, 0), (2, 0), (0, 1), (1, 1), (2, 1), (3, 0), (3, 1)]
    for row, line in enumerate(lines):
        for column, letter in enumerate(line):
            bits = ord(letter) - 0x2800
            for k, (y, x) in enumerate(order):
                assert bool(bits >> k & 1) == dots[4 * row + y, 2 * column + x]


def test_other_frames_look_different_and_intents_far_apart() -> None:
    performance = facts().performance
    seen = {
        frame: figure_dots(*figure_at(performance.of("visitor"), 24.0, frame), 48, 56)
        for frame in (1005, 1060, 1240)
    }

    assert (seen[1005] ^ seen[1060]).mean() > 0.03
    assert (seen[1060] ^ seen[1240]).mean() > 0.03


def test_one_frame_alone_is_the_same_as_in_the_whole_shot() -> None:
    motion = facts().performance.of("visitor")
    _, points = figure_of(motion, 24.0)
    for frame in (1001, 1030, 1108, 1504):
        _, alone = figure_at(motion, 24.0, frame)
        assert alone == pytest.approx(points[frame - motion.first_frame], abs=1e-9)


def test_a_figure_without_a_cell_is_refused() -> None:
    shapes, points = figure_at(facts().performance.of("clerk"), 24.0, 1018)
    with pytest.raises(ValueError, match="0 by 4"):
        figure_text(shapes, points, columns=0, rows=4)
    assert np.isfinite(points).all()
