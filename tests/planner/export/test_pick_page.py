"""The page to pick points on, used in a browser by clicks, drags and keys."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest
from chromium import Chromium
from made_movies import face_shot
from print_page import find_browser

from planner.export.pick_page import PICTURES_MAX, frames_to_show, pick_page
from planner.picture.pins import Pin, parse_pins


def test_frames_are_spread_and_those_with_pins_are_there() -> None:
    shown = frames_to_show(1001, 1504, [1077])

    assert shown[0] == 1001
    assert shown[-1] == 1504
    assert 1077 in shown
    assert len(shown) <= PICTURES_MAX + 1
    assert frames_to_show(1, 3) == [1, 2, 3]


def page() -> str:
    frames = [(1001 + k, p) for k, p in enumerate(face_shot().pictures(3))]
    return pick_page("face <b>.mp4", frames, width=480, height=320,
                     pins=[Pin(1002, "chin", 150.0, 200.0)], save_as="face_points.csv")  # fmt: skip


def test_texts_of_the_page_are_texts() -> None:
    assert "<b>.mp4" not in page()
    assert "http" not in page().replace("http-equiv", "")


@pytest.fixture
def browser(tmp_path: Path):  # type: ignore[no-untyped-def]
    program = find_browser()
    if program is None:
        if os.environ.get("LINEBEAT_NEED_BROWSER"):
            pytest.fail("no Chromium or Chrome on this machine")
        pytest.skip("no Chromium or Chrome on this machine")
    made = Chromium(program, tmp_path)
    yield made
    made.close()


def mouse(browser: Chromium, kind: str, x: float, y: float, **more: object) -> None:
    browser.send("Input.dispatchMouseEvent", type=kind, x=x, y=y, button="left",
                 clickCount=1, **more)  # fmt: skip


def test_points_are_picked_by_hand_and_saved(browser: Chromium, tmp_path: Path) -> None:
    """A name typed, a click, a drag, a zoom, another frame; the file is what `--points` reads."""
    (tmp_path / "page.html").write_text(page(), encoding="utf-8")
    browser.width(1200, 900)
    browser.send("Browser.setDownloadBehavior", behavior="allow", downloadPath=str(tmp_path))
    browser.open(tmp_path / "page.html")
    box = browser.run("(b => [b.left, b.top, b.width, b.height])(picture.getBoundingClientRect())")

    def at(x: float, y: float) -> tuple[float, float]:
        """Where a pixel of the movie is on the screen, the whole picture shown."""
        return box[0] + (x + 0.5) * box[2] / 480, box[1] + (y + 0.5) * box[3] / 320

    def click(x: float, y: float) -> None:
        mouse(browser, "mousePressed", *at(x, y))
        mouse(browser, "mouseReleased", *at(x, y))

    def rows() -> list[tuple[int, str, float, float]]:
        pins = parse_pins(browser.run("table.value"))
        return [(p.frame, p.name, p.x, p.y) for p in pins]

    assert rows() == [(1002, "chin", 150.0, 200.0)]
    browser.run("document.getElementById('name').focus()")
    browser.send("Input.insertText", text="clerk_nose")
    browser.press("Enter", 13, "\r")
    click(162, 193)
    (nose,) = [row for row in rows() if row[1] == "clerk_nose"]
    assert nose[0] == 1001
    assert nose[2:] == pytest.approx((162, 193), abs=0.6)

    mouse(browser, "mousePressed", *at(162, 193))
    for x in (166, 172, 180):
        mouse(browser, "mouseMoved", *at(x, 193), buttons=1)
    mouse(browser, "mouseReleased", *at(180, 193))
    (nose,) = [row for row in rows() if row[1] == "clerk_nose"]
    assert nose[2:] == pytest.approx((180, 193), abs=0.6)

    browser.press("ArrowRight", 39)
    assert browser.run("document.getElementById('frame').textContent") == "1002"
    browser.send("Input.dispatchMouseEvent", type="mouseWheel", x=at(240, 160)[0],
                 y=at(240, 160)[1], deltaX=0, deltaY=-600)  # fmt: skip
    time.sleep(0.2)
    click(240, 160)  # what the wheel turned round stays under it
    (later,) = [row for row in rows() if row[:2] == (1002, "clerk_nose")]
    assert later[2:] == pytest.approx((240, 160), abs=0.6)

    browser.run("save.click()")
    saved = tmp_path / "face_points.csv"
    until = time.monotonic() + 20
    while not saved.exists() and time.monotonic() < until:
        time.sleep(0.05)
    assert [(p.frame, p.name, p.x, p.y) for p in parse_pins(saved.read_text())] == rows()
    browser.press("Delete", 46)
    assert (1002, "clerk_nose") not in [row[:2] for row in rows()]
    assert browser.requests() == []
    assert browser.complaints() == []
