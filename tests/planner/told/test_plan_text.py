"""The printed plan: rows under their poses, in time when brief, each reason once."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from planner.plan.suggestion import LinePlan, Stress
from planner.scene import Line
from planner.told.plan_text import _stress_line
from planner.told.shown_console import SafeConsole


@pytest.fixture
def demo(demo_scenes: Path) -> Path:
    """The bundled scene."""
    return demo_scenes / "lost_umbrella" / "scene.yaml"


def rows(text: str) -> list[list[int]]:
    """The first frames of the rows, a list a line of dialogue."""
    blocks: list[list[int]] = []
    for line in text.splitlines():
        if line.startswith("frames "):
            blocks.append([])
        elif match := re.match(r"(\d{4})-\d{4} ", line):
            blocks[-1].append(int(match.group(1)))
    return blocks


def test_brief_rows_stand_in_the_order_of_frames(linebeat: Callable[..., Any], demo: Path) -> None:
    blocks = rows(linebeat("plan", demo, "--brief").out)

    assert len(blocks) == 6
    for block in blocks:
        assert block == sorted(block)


def test_brief_is_a_line_a_suggestion(linebeat: Callable[..., Any], demo: Path) -> None:
    import json

    count = len(json.loads(linebeat("plan", demo, "--json", "-").out)["suggestions"])
    text = linebeat("plan", demo, "--brief").out

    assert sum(map(len, rows(text))) == count
    assert len(text.splitlines()) < count + 6 * 5


def test_a_silent_beat_stands_with_the_line_before_it(
    linebeat: Callable[..., Any], demo: Path
) -> None:
    """The clerk looks along the shelf between lines 2 and 3: nobody should miss it."""
    blocks = rows(linebeat("plan", demo).out)

    assert any(1120 <= frame < 1145 for frame in blocks[1])


def test_a_reason_from_the_sound_is_told_once_a_line(
    linebeat: Callable[..., Any], demo: Path
) -> None:
    text = " ".join(linebeat("plan", demo).out.split())
    reason = re.search(r"main accent of the phrase: \"third\"[^;]*;", text)

    assert reason
    assert text.count(reason.group()) == 1


def test_one_character_alone(linebeat: Callable[..., Any], demo: Path) -> None:
    text = linebeat("plan", demo, "--who", "visitor", "--brief").out

    assert "clerk: " not in text
    assert "visitor, line 2" in text


def test_rows_stand_under_their_pose_and_the_nice_ones_after_the_others(
    linebeat: Callable[..., Any], demo: Path
) -> None:
    plan = json.loads(linebeat("plan", demo, "--json", "-").out)
    rows = [row.split() for row in linebeat("plan", demo).out.splitlines()]
    printed = [tuple(map(int, r[0].split("-"))) for r in rows if r and "-" in r[0][4:5]]
    assert sorted(printed) == sorted(tuple(s["frames"]) for s in plan["suggestions"])

    poses = [s for s in plan["suggestions"] if s["kind"] == "pose" and s["who"] == "clerk"]
    text = linebeat("plan", demo).out
    order = [text.index(f"{p['frames'][0]}-{p['frames'][1]} ") for p in poses[:2]]
    blink = text.index("1023-1028")  # it marks the second thought, though the first still sounds
    assert order[0] < order[1] < blink
    assert text[order[1] : blink].count("if wanted:") == 1


def test_the_word_that_sounds_stands_under_the_hit(
    linebeat: Callable[..., Any], demo: Path
) -> None:
    rows = linebeat("plan", demo).out.splitlines()
    hit = next(n for n, row in enumerate(rows) if row.startswith("1016-1041  1018"))
    assert rows[hit + 1].split()[0] == "third"
    before_the_voice = next(n for n, row in enumerate(rows) if row.startswith("1001-1005  1005"))
    assert rows[before_the_voice + 1].startswith(" " * 30)


def test_the_plan_is_readable_at_100_columns(
    linebeat: Callable[..., Any], demo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        "planner.told.shown_console.console", lambda: SafeConsole(width=100, markup=False)
    )
    rows = linebeat("plan", demo).out.splitlines()
    assert max(map(len, rows)) <= 100
    assert not [row for row in rows if "\u2026" in row]  # nothing cut off by the table


def test_an_unknown_character_is_named_with_the_known(
    linebeat: Callable[..., Any], demo: Path
) -> None:
    ran = linebeat("plan", demo, "--who", "vistor")

    assert ran.code == 2
    assert "clerk, visitor" in ran.err


def test_a_word_with_two_stresses_stands_once() -> None:
    """Two stresses of "7:15" are one word with two frames; a word said twice stays two."""
    line = Line(1, "1", "clerk", "a.wav", 0.0, say="At 7:15. No, no.")
    stresses = (
        Stress(1, "7:15", 1052, "strong", True), Stress(4, "7:15", 1067, "light", False),
        Stress(5, "No", 1080, "light", False), Stress(6, "no", 1090, "light", False),
    )  # fmt: skip

    told = _stress_line(line, LinePlan(1, "1", "clerk", (1001, 1100), stresses)).plain

    assert told == "stresses: 7:15 1052 and 1067, No 1080, no 1090"


def test_a_scene_without_a_title_is_called_by_its_file(
    linebeat: Callable[..., Any], demo: Path, tmp_path: Path
) -> None:
    sound = demo.parent / "clerk_01.flac"
    linebeat("start", sound, "--copy", "-o", tmp_path / "mine.yaml")

    assert linebeat("plan", tmp_path / "mine.yaml").out.startswith(f"{tmp_path}/mine.yaml: frames")


def test_the_readme_shows_what_the_demo_prints(linebeat: Callable[..., Any]) -> None:
    """Every row of the README's excerpt is still what `linebeat demo` prints."""
    readme = (Path(__file__).resolve().parents[3] / "README.md").read_text(encoding="utf-8")
    excerpt = readme.partition("prints it (shortened):\n\n```text\n")[2].partition("\n```")[0]
    printed = {" ".join(line.split()[:3]) for line in linebeat("demo").out.splitlines()}

    assert excerpt.splitlines()[0] == linebeat("demo").out.splitlines()[0].rstrip()
    rows = [line for line in excerpt.splitlines() if re.match(r"\d{4}-\d{4} ", line)]
    assert len(rows) > 10
    for row in rows:
        assert " ".join(row.split()[:3]) in printed
