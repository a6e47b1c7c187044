"""Pages opened in headless Chromium: at three widths, stepped, played and printed.

Without Chromium they skip, unless LINEBEAT_NEED_BROWSER is set.
"""

from __future__ import annotations

import os
import re
import shutil
from pathlib import Path

import pytest
from chromium import Chromium
from print_page import find_browser, page_to_pdf
from shown import EMOJI, HEBREW, MARKUP, facts, nasty_facts

from planner.commands._shared import load_shot
from planner.export.exposure_page import exposure_page
from planner.export.facts import ShotFacts, shot_facts
from planner.export.review_page import review_page
from planner.export.shot_sound import shot_flac_uri

pytestmark = pytest.mark.reference

WIDTHS = (400, 1024, 1600)


@pytest.fixture(scope="module")
def demo(demo_scenes: Path) -> ShotFacts:
    return shot_facts(load_shot(str(demo_scenes / "lost_umbrella")))


@pytest.fixture(scope="module")
def browser(tmp_path_factory):
    program = find_browser()
    if program is None:
        text = "no Chromium or Chrome on this machine"
        if os.environ.get("LINEBEAT_NEED_BROWSER"):
            pytest.fail(text)
        pytest.skip(text)
    page = Chromium(program, tmp_path_factory.mktemp("chromium"))
    yield page
    page.close()


@pytest.fixture(scope="module")
def review(demo, tmp_path_factory) -> Path:
    path = tmp_path_factory.mktemp("pages") / "review page.html"
    path.write_text(review_page(demo, sound_uri=shot_flac_uri(demo)), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def hostile(tmp_path_factory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("hostile")
    made = {"review": review_page(nasty_facts()), "exposure": exposure_page(nasty_facts())}
    for name, text in made.items():
        (folder / f"{name}.html").write_text(text, encoding="utf-8")
    return {name: folder / f"{name}.html" for name in made}


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", ["review", "exposure"])
def test_a_page_fits_any_width_asks_for_nothing_and_runs_nothing_hostile(
    browser, hostile, name, width
):
    browser.width(width)
    browser.open(hostile[name])

    assert browser.run("document.documentElement.scrollWidth") <= width
    assert browser.requests() == []
    assert browser.complaints() == []
    assert browser.run("document.querySelectorAll('script:not([type])').length") == (
        1 if name == "review" else 0
    )
    text = browser.run("document.body.innerText + document.body.textContent")
    for hostile_text in (MARKUP, HEBREW, EMOJI):
        assert hostile_text in text


def test_the_arrows_step_frames_and_go_from_stress_to_stress(browser, review, demo):
    browser.width(1024)
    browser.open(review)
    first, last = demo.frames

    browser.press("ArrowRight", 39)
    browser.press("ArrowRight", 39)
    assert _frame(browser) == first + 2
    browser.press("ArrowLeft", 37)
    assert _frame(browser) == first + 1
    browser.press("End", 35)
    assert _frame(browser) == last
    browser.press("ArrowRight", 39)
    assert _frame(browser) == last
    browser.press("Home", 36)
    assert _frame(browser) == first
    assert browser.run("document.getElementById('shown').textContent") == str(first)
    strong = sorted({
        s.hit for line in demo.laid.lines for s in line.syllables if s.degree == "strong"
    })  # fmt: skip
    browser.run("document.getElementById('tone').focus()")
    for hit in strong[:3]:
        browser.press("ArrowDown", 40)
        assert _frame(browser) == hit
    browser.press("ArrowUp", 38)
    assert _frame(browser) == strong[1]


def _frame(browser: Chromium) -> int:
    return int(browser.run("Number(document.getElementById('frame').value)"))


def test_the_cursor_stands_on_the_frame_and_what_is_there_is_marked(browser, review, demo):
    browser.width(1600)
    browser.open(review)
    entry = next(s for s in demo.plan.suggestions if s.hit and s.kind == "accent")

    browser.run(f"document.querySelector('.go[data-frame=\"{entry.hit}\"]').click()")

    x = browser.run("Number(document.getElementById('cursor').getAttribute('x1'))")
    assert _frame(browser) == entry.hit
    assert x == (entry.hit - demo.frames[0] + 0.5) * 16
    ranges = browser.run(
        "[...document.querySelectorAll('li[aria-current]')].map(e => "
        "[+e.dataset.first, +e.dataset.last])"
    )
    assert ranges
    assert all(a <= entry.hit <= b for a, b in ranges)
    box = browser.run(
        "(() => { const c = document.getElementById('cursor').getBoundingClientRect(),"
        " t = document.getElementById('tone').getBoundingClientRect();"
        " return [c.left, t.left, t.right]; })()"
    )
    assert box[1] <= box[0] <= box[2]


def test_a_click_on_the_tone_line_goes_there(browser, review, demo):
    browser.width(1600)
    browser.open(review)
    at = browser.run(
        "(() => { document.getElementById('tone').scrollIntoView(); window.scrollBy(0, -200);"
        " const t = document.getElementById('tone').getBoundingClientRect();"
        " return [t.left + 16 * 20.5, t.top + 40]; })()"
    )
    for kind in ("mousePressed", "mouseReleased"):
        browser.send("Input.dispatchMouseEvent", type=kind, x=at[0], y=at[1], button="left",
                     clickCount=1)  # fmt: skip

    assert _frame(browser) == demo.frames[0] + 20


def test_the_sound_plays_and_the_cursor_goes_with_it(browser, review, demo):
    browser.width(1024)
    browser.open(review)
    shot_s = demo.clock.rate.start_s(demo.frames[1] - demo.frames[0] + 1)
    browser.run(
        "new Promise(done => { const s = document.getElementById('sound');"
        " if (s.readyState > 2) done(); else s.addEventListener('canplay', () => done()); })"
    )
    assert browser.run("document.getElementById('sound').duration") == pytest.approx(shot_s, 0.01)

    browser.press(" ", 32, " ")
    browser.run("new Promise(done => setTimeout(done, 700))")
    moving = _frame(browser)
    browser.press(" ", 32, " ")
    state = browser.run(
        "(() => { const s = document.getElementById('sound');"
        " return [s.paused, s.currentTime]; })()"
    )

    assert moving > demo.frames[0] + 4
    assert state[0]
    browser.run("new Promise(done => setTimeout(done, 100))")
    assert abs(_frame(browser) - demo.clock.frame_at(state[1])) <= 1


def test_everything_on_the_page_can_be_reached_and_has_a_name(browser, review):
    browser.width(1024)
    browser.open(review)
    browser.send("Accessibility.enable")
    tree = browser.send("Accessibility.getFullAXTree")["nodes"]
    roles = ("button", "slider", "link", "image", "region", "group")
    nameless = [
        n for n in tree
        if not n.get("ignored") and n.get("role", {}).get("value") in roles
        and not n.get("name", {}).get("value")
    ]  # fmt: skip
    assert nameless == []

    order = []
    for _ in range(13):
        browser.press("Tab", 9)
        order.append(browser.run("document.activeElement.id || document.activeElement.className"))
    assert order == ["skip", "play", "back", "on", "half", "loop", "ghosts", "frame", "who", "kind",
                     "keep", "all-back", "save-page"]  # fmt: skip


def test_only_what_is_ticked_is_kept_and_persons_are_filtered(browser, review):
    browser.open(review)
    shown = "[...document.querySelectorAll('li:has(.tick)')].filter(e => !e.hidden).length"
    everything = browser.run(shown)
    browser.run("document.querySelectorAll('.tick')[1].click()")
    browser.run("document.getElementById('keep').click()")
    kept = browser.run(shown)
    marked = browser.run("document.querySelectorAll('.tick[checked]').length")
    browser.run("document.getElementById('all-back').click()")
    browser.run("(() => { const w = document.getElementById('who'); w.value = 'visitor';"
                " w.dispatchEvent(new Event('change')); })()")  # fmt: skip
    others = browser.run(
        "[...document.querySelectorAll('li[data-who=clerk]')].filter(e => !e.hidden).length"
    )

    assert everything > 3 and (kept, marked, others) == (1, 1, 0)
    assert 0 < browser.run(shown) < everything


STAGE = """(() => { const c = document.getElementById('stage'), p = c.getContext('2d');
 const d = p.getImageData(0, 0, c.width, c.height).data; let sum = 0, ink = 0;
 for (let i = 3; i < d.length; i += 4) if (d[i]) { ink += 1; sum = (sum * 31 + i) % 1000003; }
 return [ink, sum, Number(c.dataset.frame)]; })()"""


def test_the_figures_are_drawn_on_every_frame_and_move(browser, review, demo):
    browser.width(1024)
    browser.open(review)
    browser.run("new Promise(done => setTimeout(done, 400))")
    first = browser.run(STAGE)
    browser.run(f"document.querySelector('.go[data-frame=\"{demo.frames[0] + 17}\"]').click()")
    later = browser.run(STAGE)
    browser.run("document.getElementById('ghosts').click()")
    ghosts = browser.run(STAGE)

    assert first[0] > 2000  # pixels of ink and cloth
    assert later[1] != first[1]
    assert later[2] == demo.frames[0] + 17
    assert ghosts[0] > later[0]
    assert browser.complaints() == []


def test_the_points_of_the_page_are_the_figures_points(browser, review, demo):
    """Unpacked in the browser, to half a hundredth of a head."""
    figure = demo.figures[0]
    browser.width(1024)
    browser.open(review)
    browser.run("new Promise(done => setTimeout(done, 400))")
    script = (
        "(async () => { const one = JSON.parse(document.getElementById('figures').textContent)"
        ".cast[0]; const bytes = Uint8Array.from(atob(one.data), c => c.charCodeAt(0));"
        " const flow = new Blob([bytes]).stream().pipeThrough(new DecompressionStream('deflate'));"
        " const b = new Uint8Array(await new Response(flow).arrayBuffer()), n = b.length / 2;"
        " let at = 0; const found = []; for (let i = 0; i < 40; i += 1) {"
        " at += (b[i] | (b[n + i] << 8)) << 16 >> 16; found.push(at / 200); } return found; })()"
    )

    assert browser.run(script) == pytest.approx(list(figure.points[:40, 0, 0]), abs=0.0051)


@pytest.mark.parametrize(("paper", "size"), [("A4", (595, 842)), ("Letter", (612, 792))])
def test_the_exposure_sheet_prints_a_page_a_sheet_on_its_paper(browser, paper, size):
    given = facts(who="clerk")
    page = exposure_page(given, paper=paper)

    data = page_to_pdf(page)

    boxes = re.findall(rb"/MediaBox \[0 0 ([0-9.]+) ([0-9.]+)\]", data)
    assert len(boxes) == page.count("<section>") + 1  # the first page: key poses
    for wide, high in boxes:
        assert sorted((float(wide), float(high))) == pytest.approx(sorted(size), abs=1.0)


def test_the_printed_sheets_lose_no_row(browser, tmp_path):
    """Read by poppler's pdftotext where it is installed: every frame number is on paper."""
    reader = shutil.which("pdftotext")
    if reader is None:
        pytest.skip("no pdftotext on this machine")
    import subprocess

    given = facts()
    page = exposure_page(given)
    (tmp_path / "x.pdf").write_bytes(page_to_pdf(page))
    text = subprocess.run(
        [reader, "-layout", "x.pdf", "-"], cwd=tmp_path, capture_output=True, check=True, text=True
    ).stdout

    assert text.count("\f") == page.count("<section>") + 1
    for frame in range(given.frames[0], given.frames[1] + 1):
        assert len(re.findall(rf"\b{frame}\b", text)) >= 2
