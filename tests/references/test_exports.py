"""Exports read by tools nobody here wrote: OpenTimelineIO, its CMX 3600 adapter, webvtt-py,
jsonschema, an XML parser, PNG and PDF readers. Pages in Chromium: test_pages.py.
"""

from __future__ import annotations

import io
import json
import re
from fractions import Fraction
from pathlib import Path

import pytest
from shown import MARKUP, facts, nasty_facts

from audio.errors import OutputError
from audio.reading_json import to_json
from planner.bring_in.timeline_file import read_marks, read_timeline_poses
from planner.commands._shared import load_shot
from planner.export.captions import captions_vtt
from planner.export.facts import ShotFacts, shot_facts, shown_frame
from planner.export.kinds import SCHEMAS, schema_text
from planner.export.marks import marks_of
from planner.export.shot_sound import shot_flac
from planner.export.timeline import edl_text, otio_text
from planner.export.tone import tone_drawings
from planner.export.tone_picture import pdf_bytes, png_bytes

pytestmark = pytest.mark.reference

RATES = ("24", "25", "23.976", "29.97", "29.97df", "30", "59.94", "12")


@pytest.fixture(scope="module")
def demo(demo_scenes: Path) -> ShotFacts:
    return shot_facts(load_shot(str(demo_scenes / "lost_umbrella")))


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
        "reading": to_json(demo.heard[1]),
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
