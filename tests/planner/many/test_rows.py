"""A line's row says what its reading and its scene's check say."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from made_voices import scene, voice

from planner.check.check_poses import check_poses
from planner.many.rows import LineRow, checked_rows, heard_row, line_at, row_from_json
from planner.scene import KeyPose
from planner.shot import shot_of


def test_a_row_counts_what_the_reading_has() -> None:
    reading = voice("that is the THIRD lamp. and it is ~not MINE.", lead_s=0.5, pause_s=0.5)

    row = heard_row("a.wav", reading)

    assert (row.file, row.line, row.words, row.syllables) == ("a.wav", None, 10, 10)
    assert (row.strong_stresses, row.light_stresses, row.phrases) == (2, 1, 2)
    # nine words of 0.18 s less one light (x 1.2) and two strong (x 1.6): the helper's own lengths
    talk_s = 0.18 * (7 + 1.2 + 2 * 1.6)
    assert row.talk_s == pytest.approx(talk_s, abs=0.001)
    assert row.strong_per_s == pytest.approx(2 / talk_s, abs=0.001)
    assert row.pitch_range_semitones == pytest.approx(12.0)  # 0.8 to 1.6 times the median


def test_a_voiceless_clip_has_no_pitch_and_no_density() -> None:
    from dataclasses import replace

    from audio.reading import Speaker

    silent = replace(voice("", lead_s=1.0), speaker=Speaker(0.0, 0.0, 0.0, 0.0))

    row = heard_row("a.wav", silent)

    assert (row.pitch_median_hz, row.pitch_range_semitones, row.strong_per_s) == (None, None, None)


def test_a_row_survives_json_as_it_is() -> None:
    row = heard_row("a.wav", voice("the THIRD one."))

    assert row_from_json(json.loads(json.dumps(row.to_json()))) == row
    with pytest.raises(ValueError):
        row_from_json({"file": "a.wav"})


def test_the_check_of_a_scene_is_shared_out_to_its_lines(
    voice: Callable[..., Any], scene_of: Callable[..., Any]
) -> None:
    """Sums over lines are the check's own summary."""
    made, readings = scene_of(
        voice([(1.0, "strong"), (2.0, "strong")]), voice([(1.0, "strong")]), at_s=(0.0, 4.0),
        poses=(KeyPose(1023, "ada", "head"), KeyPose(1127, "ada", "head")),
    )  # fmt: skip
    result = check_poses(shot_of(made, readings), made.poses)
    rows = checked_rows(
        tuple(heard_row("s.yaml", readings[x.number], x) for x in made.lines), made, result
    )

    assert [row.check for row in rows] == ["ok", "wanting"]
    assert [(row.early, row.late) for row in rows] == [(0, 0), (0, 1)]
    assert sum(row.main_accents or 0 for row in rows) == result.summary.main_accents
    assert sum(row.main_landed or 0 for row in rows) == result.summary.main_landed
    assert sum(row.findings or 0 for row in rows) == len(result.findings)
    assert all(row.check == "ok" for row in rows) == result.ok


def test_a_frame_belongs_to_the_line_begun_last() -> None:
    made = scene((("clerk", 0.0), ("visitor", 2.0), ("clerk", 1.0)))

    assert [line_at(made, frame) for frame in (900, 1001, 1024, 1025, 1049, 9999)] == [
        1, 1, 1, 3, 2, 2
    ]  # fmt: skip


def test_rows_of_problems_need_nothing_but_the_file() -> None:
    assert row_from_json(LineRow("a.wav", problem="broken").to_json()).length_s is None
