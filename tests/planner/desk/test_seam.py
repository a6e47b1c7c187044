"""From a key through the file to `linebeat plan`: what the desk writes is what the plan takes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from planner.cli import main
from planner.desk.app import DeskApp
from planner.desk.choices import SuggestionOf
from planner.desk.run import open_app
from planner.desk.state import Desk
from planner.scene_file import read_scene

ACCENT = "accent/head/third/w4s1"


def planned(scene: Path, capsys: pytest.CaptureFixture[str]) -> dict[str, object]:
    """The plan of a scene file, as the command prints it."""
    assert main(["plan", str(scene), "--json", "-"]) == 0
    found: dict[str, object] = json.loads(capsys.readouterr().out)
    return found


def frames_of(plan: dict[str, object], of: str) -> tuple[int, int, str | None]:
    """Hit, length and decision of a suggestion."""
    found = next(s for s in plan["suggestions"] if s["id"] == of)  # type: ignore[attr-defined]
    first, last = found["frames"]
    return found["hit"], last - first + 1, found["decision"]


async def settle(app: DeskApp, pilot: object) -> None:
    """Until the plan is up to date."""
    while app.desk.stale:
        await app.workers.wait_for_complete()
        await pilot.pause()  # type: ignore[attr-defined]


async def test_lock_keeps_its_frames_through_another_intent(
    demo: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """`lock` writes where the move stands and how long it is; a retag no longer moves it."""
    hit, length, _ = frames_of(planned(demo, capsys), ACCENT)
    app = open_app(str(demo))
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.press("m", "tab", "tab")
        app.apply(app_choice(app, ACCENT))
        await pilot.press("l")
        await settle(app, pilot)
        await pilot.press("s")
    decision = next(d for d in read_scene(demo).decisions if d.of == ACCENT)
    assert (decision.do, decision.word) == ("lock", "third")
    assert decision.by is not None and decision.frames == length
    text = demo.read_text(encoding="utf-8")
    demo.write_text(text.replace("intent: teasing", "intent: angry", 1), encoding="utf-8")
    after, _, decided = frames_of(planned(demo, capsys), ACCENT)
    assert (after, decided) == (hit, "lock")


@pytest.mark.parametrize("intent", ["angry", "proud"])
async def test_a_locked_accent_begins_hits_and_ends_where_it_did_under_any_intent(
    demo: Path, capsys: pytest.CaptureFixture[str], intent: str
) -> None:
    """Another intent's longer way in began it a frame early; proud carries it in the chest."""
    before = next(s for s in planned(demo, capsys)["suggestions"] if s["id"] == ACCENT)  # type: ignore[attr-defined]
    app = open_app(str(demo))
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.press("m", "tab", "tab")
        app.apply(app_choice(app, ACCENT))
        await pilot.press("l")
        await settle(app, pilot)
        await pilot.press("s")
    text = demo.read_text(encoding="utf-8")
    demo.write_text(text.replace("intent: teasing", f"intent: {intent}", 1), encoding="utf-8")
    after = next(s for s in planned(demo, capsys)["suggestions"] if s["decision"] == "lock")  # type: ignore[attr-defined]
    assert (after["frames"], after["hit"]) == (before["frames"], before["hit"])
    chart = [mark["frame"] for mark in after["timing_chart"]]
    assert chart == sorted(set(chart)) and (chart[0], chart[-1]) == tuple(after["frames"])


async def test_a_lock_right_after_a_move_locks_the_moved_frames(
    demo: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two keys in one breath: the second takes what the first has made, not the plan before it."""
    hit, length, _ = frames_of(planned(demo, capsys), ACCENT)
    app = open_app(str(demo))
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.press("m", "tab", "tab")
        app.apply(app_choice(app, ACCENT))
        await pilot.press("right_square_bracket", "l", "s")
        await settle(app, pilot)
    assert frames_of(planned(demo, capsys), ACCENT) == (hit + 1, length, "lock")


async def test_what_the_user_hears_stands_on_the_tone_line(
    demo: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """`heard:` counts on the desk as it counts in the plan: the stress moves to the word named."""
    text = demo.read_text(encoding="utf-8")
    say = "    say: That is the third umbrella this week.\n"
    heard = say + "    heard: {stress: [6], unstress: [4]}\n"
    demo.write_text(text.replace(say, heard, 1), encoding="utf-8")
    plan = planned(demo, capsys)
    stresses = plan["lines"][0]["stresses"]  # type: ignore[index]
    wanted = sorted(s["frame"] for s in stresses if s["degree"] == "strong")
    app = open_app(str(demo))
    line = app.desk.laid.line(1)
    assert line is not None
    assert sorted(s.hit for s in line.syllables if s.degree == "strong") == wanted
    main_here = [s.word for s in line.syllables if s.main]
    assert 6 in main_here and 4 not in main_here


def app_choice(app: DeskApp, of: str) -> Desk:
    """The desk with a suggestion chosen."""
    from planner.desk.choice import choose

    return choose(app.desk, SuggestionOf(of))
