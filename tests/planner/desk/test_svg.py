"""The desk's picture holds its columns in a viewer that knows no `textLength` (librsvg's case)."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from planner.desk.svg import standalone

RUN = (
    '<style>.r1 {{ fill: #fff }} .r2 {{ fill: #fff; text-decoration: underline; }}</style>'
    '<text class="{role}" x="122" y="20" textLength="{length}" clip-path="url(#c)">{text}</text>'
)  # fmt: skip
WORD = re.compile(r'<text class="[^"]*" x="([^"]*)" y="[^"]*" textLength="([^"]*)"[^>]*>([^<]*)<')


def run(text: str, cells: int, role: str = "r1") -> str:
    return standalone(RUN.format(role=role, length=f"{cells * 12.2:.1f}", text=text))


def test_each_word_stands_at_its_own_column() -> None:
    words = WORD.findall(run("&#160;Mend&#160;&#160;at&#160;&lt;1&#160;", 13))
    assert [(round((float(x) - 122) / 12.2), text) for x, _, text in words] == [
        (1, "Mend"), (7, "at"), (10, "&lt;1"),
    ]  # fmt: skip


def test_braille_is_drawn_inside_its_cells_and_dot_by_dot() -> None:
    """Dots 1 and 8 of Unicode 2800 (bits 0 and 7) are the top left and the bottom right one."""
    made = run("\u2800\u2881", 2)
    assert "<text" not in made
    dots = [(float(x), float(y)) for x, y in re.findall(r"M([\d.]+) ([\d.]+)h", made)]
    assert len(dots) == 2
    (left, top), (right, bottom) = dots
    assert 122 + 12.2 < left < 122 + 18.3 < right < 122 + 24.4
    assert 1.5 < top < 1.5 + 6.1 and 1.5 + 18.3 < bottom < 1.5 + 24.4


def test_a_line_under_several_words_is_not_broken() -> None:
    assert [text for _, _, text in WORD.findall(run("a&#160;b", 3, "r2"))] == ["a&#160;b"]


@pytest.mark.parametrize("name", ["desk_120x36", "desk_200x50", "desk_80x24"])
def test_the_readme_s_pictures_hold_no_braille_as_text(name: str) -> None:
    """Another font's braille may be wider than a cell, and ran over the rail."""
    folder = Path(__file__).parent / "pictures"
    svg = (folder / f"{name}.svg").read_text(encoding="utf-8")
    assert not re.search("[\u2800-\u28ff]", svg)
