"""Views as text: what stands where, from 80x24 to 240x60, at every zoom."""

from __future__ import annotations

from dataclasses import replace

import pytest
from rich.cells import cell_len

from audio.reading import frozen_array
from planner.desk import actions as doing
from planner.desk import choice as choosing
from planner.desk import cursor as moving
from planner.desk.choices import BeatAt, NoteAt, PoseAt, SuggestionOf, Words
from planner.desk.edits import decisions as deciding
from planner.desk.edits import poses as posing
from planner.desk.state import Desk, Way, on_scene, open_desk
from planner.desk.units import shown
from planner.desk.views.all_rows import make_views
from planner.desk.views.cells import Canvas, Rows, fitted, padded, row_text
from planner.desk.views.layout import frame_columns, gutter_width
from planner.desk.views.looks import NAMES, Look
from planner.desk.views.said import said_rows

SIZES = [(80, 24), (120, 36), (200, 50), (240, 60)]


def sized(desk: Desk, columns: int) -> Desk:
    return moving.resized(desk, frame_columns(columns, desk.way))


def texts(rows: Rows) -> list[str]:
    return [row_text(row) for row in rows]


def where(rows: Rows, text: str) -> tuple[int, int]:
    """Row and column of a text."""
    for number, line in enumerate(texts(rows)):
        if text in line:
            return number, line.index(text)
    raise AssertionError(f"{text!r} is not in\n" + "\n".join(texts(rows)))


@pytest.mark.parametrize("way", ["mean", "move", "mend"])
@pytest.mark.parametrize("size", SIZES)
def test_every_way_fills_every_size_and_no_row_is_too_wide(
    desk: Desk, way: Way, size: tuple[int, int]
) -> None:
    columns, rows = size
    busy = posing.add_pose(choosing.choose(desk, SuggestionOf("accent/head/kettle/w2s1")), "head")
    at = sized(doing.to_way(busy, way), columns)
    for zoom in range(5):
        views = make_views(at, columns, rows)
        heights = {name: len(made) for name, made in views.rows.items() if name != "rail"}
        assert sum(heights.values()) + 1 == rows, (zoom, heights)
        for name, made in views.rows.items():
            assert all(cell_len(text) <= columns for text in texts(made)), name
        at = moving.zoom(at, 1)


def dots(rows: Rows) -> dict[int, float]:
    """The mean row of the curve's dots, by column of cells."""
    found: dict[int, list[int]] = {}
    for number, line in enumerate(texts(rows)):
        for column, char in enumerate(line):
            if "\u2800" < char <= "\u28ff":
                found.setdefault(column, []).append(number)
    return {column: sum(held) / len(held) for column, held in found.items()}


def test_the_curve_stands_at_its_frames_and_higher_pitch_stands_higher(desk: Desk) -> None:
    tone = make_views(sized(desk, 120), 120, 36).rows["words"]
    gutter = gutter_width(120)
    curve = dots(tone)

    ket, tle, did = (curve[gutter + at] for at in (8, 12, 48))
    assert ket < tle < did
    assert where(tone, "^ket")[1] == gutter + 6  # its vowel begins on 1007, the seventh frame


def test_the_curve_is_unbroken_where_there_is_voice(desk: Desk) -> None:
    """Neighbouring columns touch: no step of pitch leaves a hole (0.10 to 0.95 s, 1.40 to 2.20)."""
    tone = make_views(sized(desk, 120), 120, 36).rows["words"]
    gutter = gutter_width(120)
    filled: dict[int, set[int]] = {}
    for number, line in enumerate(texts(tone)):
        for column, char in enumerate(line):
            if "\u2800" < char <= "\u28ff" or char in "^>":
                filled.setdefault(column - gutter, set()).add(number)
    for first, last in ((3, 21), (34, 51)):
        for column in range(first, last):
            here, there = filled[column], filled[column + 1]
            assert min(abs(a - b) for a in here for b in there) <= 1, column


def test_a_stray_octave_does_not_flatten_the_curve(desk: Desk) -> None:
    """Three frames an octave up leave the scale as it is (Tukey's fences)."""
    before = desk.facts.scale_st
    reading = desk.shot.heard[1]
    hz = reading.pitch.hz.copy()
    hz[60:75] *= 2.0
    stray = replace(reading, pitch=replace(reading.pitch, hz=frozen_array(hz)))
    odd = open_desk(desk.scene, {**desk.shot.heard, 1: stray}, desk.plan)

    assert odd.facts.scale_st == pytest.approx(before, abs=1.0)


def test_a_stress_is_marked_by_a_sign_and_a_role_not_by_colour_alone(desk: Desk) -> None:
    tone = make_views(sized(desk, 120), 120, 36).rows["words"]

    assert where(tone, "^ket") and where(tone, "^did")
    for name in NAMES:
        assert Look(name).style("main", 0).bold
    assert "1007" in texts(tone)[-2]


def test_pause_and_breath_are_words_at_their_frames(desk: Desk) -> None:
    tone = make_views(sized(desk, 120), 120, 36).rows["words"]

    assert where(tone, "pause 1")[1] > gutter_width(120) + 21
    assert "breath" in "\n".join(texts(tone))


@pytest.mark.parametrize(
    ("unit", "text"),
    [("frames", "1025"), ("timecode", "00:00:01:00"), ("seconds", "1.00s"), ("feet", "1+08")],
)
def test_the_ruler_shows_a_second_in_every_unit(desk: Desk, unit: str, text: str) -> None:
    assert shown(1025, unit, desk.scene.clock) == text  # type: ignore[arg-type]


def test_labels_of_the_ruler_never_touch(desk: Desk) -> None:
    for unit in ("frames", "timecode", "seconds", "feet"):
        at = sized(replace(desk, unit=unit), 80)  # type: ignore[arg-type]
        for _ in range(5):
            labels = texts(make_views(at, 80, 24).rows["ruler"])[0].split()[1:]
            clean = [text for text in labels if text.isascii()]
            assert len(clean) == len(labels)
            at = moving.zoom(at, 1)


def test_beats_stand_between_brackets_at_their_frames(desk: Desk) -> None:
    beats = make_views(sized(desk, 120), 120, 36).rows["beats"]
    gutter = gutter_width(120)

    assert where(beats, "[teasing 0.7") == (0, gutter + 2)
    assert where(beats, "[tender 0.5")[1] == gutter + 33
    assert texts(beats)[1].strip() == "guest"


def test_a_suggestion_is_a_block_from_its_first_to_its_last_frame_with_its_hit_lit(
    desk: Desk,
) -> None:
    plan = make_views(sized(desk, 120), 120, 36).rows["plan"]
    row, column = where(plan, "accent")
    assert column == gutter_width(120) + 5  # 1006
    runs = [(run.text, run.role) for run in plan[row] if run.role.endswith(" accent")]

    assert [role for _, role in runs[:3]] == ["block accent", "hit accent", "block accent"]
    assert sum(len(text) for text, _ in runs[:3]) == 7  # 1006 to 1012
    assert any("breathe" in line and "chest" in line for line in texts(plan))


def test_what_is_dropped_shows_only_when_asked_for(desk: Desk, planned) -> None:  # type: ignore[no-untyped-def]
    at = choosing.choose(replace(desk, panel="plan"), SuggestionOf("breath/chest/kettle/p1"))
    dropped = sized(planned(deciding.decide(at, "drop")), 120)
    assert "breathe" not in "\n".join(texts(make_views(dropped, 120, 36).rows["plan"]))

    shown_again = moving.toggle_dropped(dropped)
    rows = make_views(shown_again, 120, 36).rows["plan"]
    assert "breathe" in "\n".join(texts(rows))
    assert any(run.role == "dropped" for row in rows for run in row)
    assert all(Look(name).style("dropped", 0).strike for name in NAMES)


def test_why_tells_heard_meant_and_rule(desk: Desk) -> None:
    chosen = sized(choosing.choose(desk, SuggestionOf("accent/head/kettle/w2s1")), 120)
    told = "\n".join(texts(make_views(chosen, 120, 36).rows["why"]))

    for part in ("hit 1007", "heard: main stress", "meant: teasing", "rule: the head lands 2"):
        assert part in told


def test_a_pose_is_printed_with_its_verdict_at_its_frame(desk: Desk, planned) -> None:  # type: ignore[no-untyped-def]
    posed = planned(posing.add_pose(moving.go_to(desk, 1012), "head chin down"))
    rows = make_views(sized(doing.to_way(posed, "mend"), 120), 120, 36).rows

    assert where(rows["poses"], 'chin down: late by 5 for "ket"')[1] == gutter_width(120) + 11
    assert '1012  cook  head: late by 5 for "ket"' in texts(rows["problems"])[1]


def test_notes_stand_on_the_ruler_at_their_frames(desk: Desk) -> None:
    at = sized(choosing.choose(desk, NoteAt(0)), 120)
    notes = make_views(at, 120, 36).rows["notes"]

    assert where(notes, "“lead: hold this longer”")[1] == gutter_width(120) + 29


def test_the_script_shows_words_and_what_they_mean(desk: Desk) -> None:
    at = choosing.choose(doing.to_way(desk, "mean"), Words(1, 1, 2))
    script = texts(make_views(at, 80, 24).rows["script"])

    assert "The kettle sang" in script[0]
    assert "teasing 0.7 → guest" in script[1]
    assert any("no meaning yet" in line for line in script)


def test_the_chosen_edge_of_a_beat_is_shown(desk: Desk) -> None:
    beats = make_views(sized(replace(desk, choice=BeatAt(0, "start")), 120), 120, 36).rows["beats"]

    assert [run.text for run in beats[0] if run.role == "beat edge"] == ["["]


def test_cost_follows_what_is_visible_not_the_length(desk: Desk) -> None:
    """The same picture is made of the same number of cells whatever the scene's length."""
    at = sized(desk, 80)
    rows = make_views(at, 80, 24).rows
    assert sum(len(made) for made in rows.values()) <= 24


@pytest.mark.parametrize("text", ["日本語のせりふ", "naïve café", "e\u0301te\u0301", "👩‍🚀 go"])
def test_wide_and_combining_characters_keep_the_columns(text: str) -> None:
    canvas = Canvas(12, 1)
    canvas.put(0, 1, text, "said")

    assert cell_len(row_text(canvas.rows()[0])) == 12
    assert cell_len(padded(text, 5)) == 5
    assert cell_len(fitted(text, 5)) <= 5


@pytest.mark.parametrize(
    ("frame", "told"),
    [(1003, 'lands 4 ahead of "ket"'), (1005, 'lands 2 ahead of "ket"'), (1007, 'lands on "ket"'),
     (1008, 'lands 1 after "ket"'), (1010, 'late by 3 for "ket"')],
)  # fmt: skip
def test_each_frame_a_pose_is_nudged_shows_in_its_verdict(
    desk: Desk, planned, frame: int, told: str  # type: ignore[no-untyped-def]
) -> None:  # fmt: skip
    posed = planned(posing.add_pose(moving.go_to(desk, frame), "head up"))
    rows = make_views(sized(doing.to_way(posed, "mend"), 120), 120, 36).rows

    assert f"up: {told}" in "\n".join(texts(rows["poses"]))
    assert told in "\n".join(texts(rows["why"]))


@pytest.mark.parametrize(
    ("frame", "told"), [(1005, "2 ahead"), (1007, "on"), (1008, "1 after"), (1010, "late 3")]
)
def test_with_little_room_the_frames_of_a_verdict_are_what_stays(
    desk: Desk, planned, frame: int, told: str  # type: ignore[no-untyped-def]
) -> None:  # fmt: skip
    next_to_it = posing.add_pose(moving.go_to(desk, frame + 8), "head")
    posed = planned(posing.add_pose(moving.go_to(next_to_it, frame), "head chin far down"))
    rows = make_views(sized(doing.to_way(posed, "mend"), 120), 120, 36).rows

    column = gutter_width(120) + frame - 1001
    assert texts(rows["poses"])[0][column : column + 8].strip() == told


def test_a_verdict_reads_as_the_check_prints_it(desk: Desk) -> None:
    """The same pose, by the command and on the desk."""
    from planner.check.check_poses import check_poses
    from planner.desk.verdicts import verdicts_of
    from planner.scene import KeyPose
    from planner.shot import shot_of
    from planner.told.check_text import verdict_text

    pose = KeyPose(1005, "cook", "head", "up")
    scene = replace(desk.scene, poses=(pose,))
    result = check_poses(shot_of(scene, desk.shot.heard), plan=desk.plan)
    verdicts = verdicts_of(scene, result)
    at = choosing.choose(replace(desk, scene=scene, planned=scene, verdicts=verdicts), PoseAt(0))

    (judged,) = result.poses
    why = texts(make_views(sized(at, 160), 160, 40).rows["why"])[0]
    assert judged.by_frames is not None
    assert verdict_text(judged) in why
    assert verdict_text(judged).startswith(verdicts.poses[0].text())  # type: ignore[union-attr]


def overlapping(desk: Desk) -> Desk:
    """The guest speaks into the cook's last words."""
    lines = (desk.scene.lines[0], replace(desk.scene.lines[1], at_s=1.6))
    return on_scene(desk, replace(desk.scene, lines=lines))


def test_who_speak_at_the_same_time_have_a_row_of_words_each(desk: Desk) -> None:
    assert len(make_views(sized(desk, 120), 120, 36).rows["words"]) == len(
        make_views(sized(overlapping(desk), 120), 120, 36).rows["words"]
    )
    cook, guest = texts(make_views(sized(overlapping(desk), 120), 120, 36).rows["words"])[-2:]

    assert cook.split()[:2] == ["cook", "says"] and guest.split()[:2] == ["guest", "says"]
    assert cook.split()[-3:] == ["before", "I", "did"]
    assert guest.split()[-3:] == ["It", "did", "not"]


@pytest.mark.parametrize("zoom", range(5))
@pytest.mark.parametrize("same", [False, True])
def test_no_word_is_written_over_another(desk: Desk, zoom: int, same: bool) -> None:
    """At every zoom; also where one speaker has two lines at once."""
    at = sized(overlapping(desk), 120)
    if same:
        lines = tuple(replace(line, who="cook") for line in at.scene.lines)
        at = on_scene(at, replace(at.scene, lines=lines))
    for _ in range(zoom):
        at = moving.zoom(at, 1)
    said = {w.text for line in at.laid.lines for w in line.words}
    said |= {word for line in at.laid.lines for p in line.phrases for word in p.text.split()}
    for row in said_rows(at, gutter_width(120)):
        for word in row_text(row[1:]).split():
            assert any(text.startswith(word.rstrip("…").rstrip(".")) for text in said), word


@pytest.mark.parametrize(("line", "word"), [(1, 2), (1, 4), (1, 5), (1, 6), (2, 2), (2, 3)])
def test_the_top_names_the_word_that_is_chosen_at_its_first_frame(
    desk: Desk, line: int, word: int
) -> None:
    at = choosing.choose(overlapping(desk), Words(line, word, word))
    laid = at.laid.line(line)
    assert laid is not None
    named = f'{laid.who}: "{laid.words[word - 1].text}"'

    assert named in texts(make_views(sized(at, 120), 120, 36).rows["head"])[1]


def test_where_two_words_share_a_frame_it_is_the_later_one_s(desk: Desk) -> None:
    words = desk.laid.lines[0].words
    assert words[0].frames[1] + 1 == words[1].frames[0]  # a frame is one word's
    at = sized(moving.go_to(desk, words[1].frames[0]), 120)

    assert '"kettle"' in texts(make_views(at, 120, 36).rows["head"])[1]


@pytest.mark.parametrize("size", [(80, 24), (120, 36)])
@pytest.mark.parametrize("length", [2, 3, 12])
def test_a_long_message_goes_on_below_and_its_mend_is_read(
    desk: Desk, size: tuple[int, int], length: int
) -> None:
    message = "poses.csv:3: " + "frame ten-oh-four is no whole number, " * length + "write 1004"
    at = sized(replace(desk, said=message), size[0])
    rows = make_views(at, *size).rows

    below = [run.text for row in rows["why"] for run in row if run.role == "message"]
    assert " ".join(" ".join(below).split()).startswith("poses.csv:3: frame ten")
    assert below[-1].strip().endswith("write 1004")
    if length == 2:
        assert " ".join(" ".join(below).split()) == message


def test_a_short_message_stands_on_top_only(desk: Desk) -> None:
    rows = make_views(sized(replace(desk, said="saved"), 120), 120, 36).rows

    assert "saved" in texts(rows["head"])[1]
    assert all(run.role != "message" for row in rows["why"] for run in row)


def test_the_whole_shot_says_what_would_show_it_larger_and_where_it_ends(desk: Desk) -> None:
    at = moving.whole_shot(moving.resized(desk, 104))

    assert at.window.per_column == 2 and at.window.last >= 1120
    assert at.said == "whole shot; 1 a column takes 16 columns more"
    assert moving.whole_shot(moving.resized(desk, 120)).said == "whole shot: 120 frames"
    ruler = texts(make_views(at, 120, 36).rows["ruler"])[1]
    assert ruler.index("▏end of the shot") == gutter_width(120) + at.window.column(1120) + 1
