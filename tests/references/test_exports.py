"""Exports read by tools nobody here wrote: OpenTimelineIO, its CMX 3600 adapter, webvtt-py,
jsonschema, an XML parser, PNG and PDF readers, Chromium.

Pages are opened at three widths, played, stepped and printed in headless Chromium. Without one they
skip, unless LINEBEAT_NEED_BROWSER is set.
"""

from __future__ import annotations

import io
import json
import os
import re
import shutil
from fractions import Fraction
from pathlib import Path

import pytest
from chromium import Chromium
from shown import EMOJI, HEBREW, MARKUP, facts, nasty_facts

from audio.errors import OutputError
from audio.reading_json import to_json
from planner.bring_in.timeline_file import read_marks, read_timeline_poses
from planner.commands._shared import load_scene_and_readings
from planner.export.browser import find_browser, page_to_pdf
from planner.export.captions import captions_vtt
from planner.export.exposure_page import exposure_page
from planner.export.facts import ShotFacts, shot_facts, shown_frame
from planner.export.kinds import SCHEMAS, schema_text
from planner.export.marks import marks_of
from planner.export.review_page import review_page
from planner.export.shot_sound import shot_flac, shot_flac_uri
from planner.export.timeline import edl_text, otio_text
from planner.export.tone import tone_drawings
from planner.export.tone_picture import pdf_bytes, png_bytes

pytestmark = pytest.mark.reference

WIDTHS = (400, 1024, 1600)
RATES = ("24", "25", "23.976", "29.97", "29.97df", "30", "59.94", "12")


@pytest.fixture(scope="module")
def demo(demo_scenes: Path) -> ShotFacts:
    return shot_facts(*load_scene_and_readings(str(demo_scenes / "lost_umbrella")))


# --- OpenTimelineIO -------------------------------------------------------------------------


@pytest.mark.parametrize("rate", RATES)
def test_the_timeline_has_every_mark_at_its_exact_frame(rate, tmp_path):
    """Read back by the library: whole frames at the exact rate, on clips and gaps."""
    otio = pytest.importorskip("opentimelineio")
    given = facts(rate=rate)
    file = tmp_path / "shot.otio"
    file.write_text(otio_text(given))

    timeline = otio.adapters.read_from_file(str(file))

    found = []
    for track in timeline.tracks:
        assert track.range_in_parent().duration.value == given.frames[1] - given.frames[0] + 1
        for item in track:
            at = track.range_of_child(item).start_time - item.source_range.start_time
            for marker in item.markers:
                time = marker.marked_range.start_time + at
                assert time.value == int(time.value)
                assert abs(Fraction(time.rate) - given.clock.rate.frames_per_s) < Fraction(1, 10**9)
                found.append((given.frames[0] + int(time.value), track.name, marker.name))
    assert sorted(found) == sorted((m.at, m.who, m.name) for m in marks_of(given) if m.who)
    assert [m.name for m in timeline.tracks.markers] == ["note: done already"]


def test_clips_of_the_timeline_lie_on_their_lines_frames(demo):
    otio = pytest.importorskip("opentimelineio")
    timeline = otio.adapters.read_from_string(otio_text(demo), "otio_json")

    found = {}
    for track in timeline.tracks:
        for clip in track.find_clips():
            start = track.range_of_child(clip).start_time.value + demo.frames[0]
            found[clip.metadata["linebeat"]["line"]] = (
                int(start), int(start + clip.duration().value - 1)
            )  # fmt: skip
            assert clip.source_range.start_time.value == 0
            available, used = clip.available_range(), clip.source_range
            assert available.end_time_exclusive() >= used.end_time_exclusive()
    assert found == {x.number: x.frames for x in demo.laid.lines}


def test_our_reader_of_timelines_gives_poses_and_marks_back(tmp_path):
    pytest.importorskip("opentimelineio")
    given = facts()
    file = tmp_path / "shot.otio"
    file.write_text(otio_text(given))

    assert read_timeline_poses(file, given.scene) == given.scene.poses
    read = sorted((m.frames[0], m.who, m.name) for m in read_marks(file, given.scene))
    assert read == sorted((m.at, m.who, m.name) for m in marks_of(given))


def test_hostile_texts_come_back_from_the_timeline():
    otio = pytest.importorskip("opentimelineio")
    given = nasty_facts()
    timeline = otio.adapters.read_from_string(otio_text(given), "otio_json")

    names = {m.name for t in timeline.tracks for item in t for m in item.markers}
    assert names == {m.name for m in marks_of(given)}
    assert timeline.name == MARKUP


@pytest.mark.parametrize("rate", ["29.97", "59.94", "12"])
def test_a_rate_the_cmx_adapter_would_mislabel_is_refused(rate):
    pytest.importorskip("otio_cmx3600_adapter")

    with pytest.raises(OutputError, match="CMX 3600"):
        edl_text(facts(rate=rate))


@pytest.mark.parametrize("rate", ["24", "25", "30", "23.976"])
def test_the_cmx_list_is_read_by_the_librarys_adapter(rate):
    otio = pytest.importorskip("opentimelineio")
    pytest.importorskip("otio_cmx3600_adapter")
    given = facts(rate=rate)
    fps = float(given.clock.rate.frames_per_s)

    timeline = otio.adapters.read_from_string(edl_text(given), "cmx_3600", rate=fps)

    (clip,) = timeline.find_clips()
    assert clip.duration().value == given.frames[1] - given.frames[0] + 1
    wanted = [m for m in marks_of(given) if m.kind in ("beat", "stress", "note")]
    assert len(clip.markers) == len(wanted)
    for marker, mark in zip(clip.markers, wanted, strict=True):
        assert marker.marked_range.start_time.value == mark.at - given.clock.first_frame
        assert marker.name == f"{mark.who} {mark.name}".strip().upper()


def test_a_drop_frame_list_has_our_own_labels():
    """The adapter writes them; its reader leaves locators with a semicolon out."""
    pytest.importorskip("otio_cmx3600_adapter")
    given = facts(rate="29.97df")
    labels = re.findall(r"\* LOC: (\S+)", edl_text(given))

    wanted = [m for m in marks_of(given) if m.kind in ("beat", "stress", "note")]
    assert labels == [shown_frame(given.clock, m.at, "timecode") for m in wanted]


# --- WebVTT ---------------------------------------------------------------------------------


def test_words_and_beats_are_read_by_webvtt_py(demo):
    webvtt = pytest.importorskip("webvtt")
    captions = webvtt.from_string(captions_vtt(demo))

    named = {c.identifier: c for c in captions}
    words = [(n, i, w) for n, r in demo.heard.items() for i, w in enumerate(r.words, 1)]
    assert len(captions) == len(words) + len(demo.beats)
    for number, index, word in words:
        cue = named[f"word {number}/{index}"]
        line = demo.scene.lines[number - 1]
        assert cue.text == word.text
        assert cue.voice == line.who
        assert cue.start_in_seconds == int(line.at_s + word.start_s + 0.0005)
        assert abs(_seconds(cue.start) - (line.at_s + word.start_s)) <= 0.0006
        assert abs(_seconds(cue.end) - (line.at_s + word.end_s)) <= 0.0006


def _seconds(time: str) -> float:
    hours, minutes, seconds = time.split(":")
    return int(hours) * 3600 + int(minutes) * 60 + float(seconds)


def test_hostile_texts_make_no_cue_and_no_tag_of_their_own():
    webvtt = pytest.importorskip("webvtt")
    given = nasty_facts()
    captions = webvtt.from_string(captions_vtt(given))

    assert len(captions) == len(given.beats) + sum(len(r.words) for r in given.heard.values())
    cues = captions_vtt(given).split("\n\n")[2:]
    assert not any("<script>" in cue for cue in cues)


# --- JSON Schema ----------------------------------------------------------------------------


def outputs(demo: ShotFacts, demo_scenes: Path) -> dict[str, object]:
    from planner.commands.paths import load_tracks
    from planner.paths.review import review_paths

    scene = demo.scene
    tracks = load_tracks(scene, str(demo_scenes / "lost_umbrella" / "tracks_v1.csv"))
    return {
        "reading": to_json(demo.readings[1]),
        "plan": demo.plan.to_json(),
        "check": demo.check.to_json(),
        "paths": review_paths(tracks, clock=scene.clock, scene=scene).to_json(),
    }


@pytest.mark.parametrize("name", SCHEMAS)
def test_what_linebeat_writes_is_what_its_schema_says(demo, demo_scenes, name):
    jsonschema = pytest.importorskip("jsonschema")
    schema = json.loads(schema_text(name))
    data = json.loads(json.dumps(outputs(demo, demo_scenes)[name]))

    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema).validate(data)


@pytest.mark.parametrize("name", SCHEMAS)
def test_a_schema_refuses_what_lacks_any_key_of_the_contract(demo, demo_scenes, name):
    jsonschema = pytest.importorskip("jsonschema")
    validator = jsonschema.Draft202012Validator(json.loads(schema_text(name)))
    data = json.loads(json.dumps(outputs(demo, demo_scenes)[name]))

    for key in json.loads(schema_text(name))["required"]:
        assert not validator.is_valid({k: v for k, v in data.items() if k != key})
    assert not validator.is_valid({**data, "linebeat": 2})
    key = next(k for k in ("syllables", "suggestions", "poses", "moves") if k in data)
    assert not validator.is_valid({**data, key: [{}]})


def test_a_reading_without_text_fits_its_schema_too(demo_scenes):
    jsonschema = pytest.importorskip("jsonschema")
    from audio.read_voice import read_file

    reading = read_file(demo_scenes / "night_kitchen" / "cook_01.flac")

    jsonschema.Draft202012Validator(json.loads(schema_text("reading"))).validate(
        json.loads(json.dumps(to_json(reading)))
    )


# --- pictures -------------------------------------------------------------------------------


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("given", [facts, nasty_facts])
def test_the_png_is_twice_the_pictures_width_and_not_empty(given):
    pytest.importorskip("matplotlib")
    from matplotlib.image import imread

    drawings = tone_drawings(given(frames=(1001, 1040)))
    image = imread(io.BytesIO(png_bytes(drawings)))

    assert image.shape[1] == 3200
    assert image.shape[0] == pytest.approx(2 * sum(d.height for d in drawings), abs=4)
    ink = (image[..., :3].mean(axis=2) < 0.6).mean()
    assert 0.002 < ink < 0.2


def test_the_pdf_of_the_tone_line_has_a_page_a_row():
    pytest.importorskip("matplotlib")
    drawings = tone_drawings(facts())
    assert len(drawings) > 1
    data = pdf_bytes(drawings, title="x")

    assert data.startswith(b"%PDF-")
    assert len(re.findall(rb"/Type /Page\b", data)) == len(drawings)
    assert b"/MediaBox [ 0 0 841.88" in data


def test_the_same_picture_is_drawn_twice_the_same():
    pytest.importorskip("matplotlib")
    drawings = tone_drawings(facts(frames=(1001, 1020)))

    assert png_bytes(drawings) == png_bytes(drawings)
    assert pdf_bytes(drawings) == pdf_bytes(drawings)


# --- sound ----------------------------------------------------------------------------------


def test_the_sound_of_the_page_lasts_as_long_as_the_shot_and_starts_where_the_lines_do(demo):
    import numpy as np
    import soundfile

    samples, rate_hz = soundfile.read(io.BytesIO(shot_flac(demo)))
    count = demo.frames[1] - demo.frames[0] + 1

    assert len(samples) / rate_hz == pytest.approx(demo.clock.rate.start_s(count), abs=1e-3)
    for line in demo.scene.lines:
        own, own_hz = soundfile.read(Path(demo.scene.folder) / line.sound)
        at = round(line.at_s * rate_hz)
        mixed = samples[at : at + round(0.9 * len(own) * rate_hz / own_hz)]
        assert np.sqrt(np.mean(mixed**2)) >= 0.5 * np.sqrt(np.mean(own**2))


# --- Chromium -------------------------------------------------------------------------------


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
        "(() => { const t = document.getElementById('tone').getBoundingClientRect();"
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
    for _ in range(9):
        browser.press("Tab", 9)
        order.append(browser.run("document.activeElement.id || document.activeElement.className"))
    assert order[:7] == ["skip", "play", "back", "on", "half", "frame", "tone"]


@pytest.mark.parametrize(("paper", "size"), [("A4", (595, 842)), ("Letter", (612, 792))])
def test_the_exposure_sheet_prints_a_page_a_sheet_on_its_paper(browser, paper, size):
    given = facts(who="clerk")
    page = exposure_page(given, paper=paper)

    data = page_to_pdf(page)

    boxes = re.findall(rb"/MediaBox \[0 0 ([0-9.]+) ([0-9.]+)\]", data)
    assert len(boxes) == page.count("<section>")
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

    assert text.count("\f") == page.count("<section>")
    for frame in range(given.frames[0], given.frames[1] + 1):
        assert len(re.findall(rf"\b{frame}\b", text)) >= 2
