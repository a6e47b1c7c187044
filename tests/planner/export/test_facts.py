"""What is chosen for an export: a line, a phrase, frames, a character."""

from __future__ import annotations

import pytest
from shown import facts, two_hander

from audio.errors import UsageError
from planner.export.facts import shot_facts, shown_frame
from planner.shot import shot_of


def test_a_line_is_found_by_number_and_a_phrase_by_its_number_in_the_scene():
    given = facts()

    assert facts(line="2").frames == given.plan.lines[1].frames
    assert facts(phrase=1).frames[0] >= given.plan.lines[0].frames[0]
    assert facts(phrase=2).frames[0] > facts(phrase=1).frames[1]


def test_frames_are_cut_to_the_shot():
    given = facts()

    assert facts(frames=(1, 1010)).frames == (given.frames[0], 1010)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"line": "9"}, 'no line "9"'),
        ({"phrase": 99}, "no phrase 99"),
        ({"frames": (1, 2)}, "outside the shot"),
        ({"who": "nobody"}, 'no character "nobody"'),
        ({"line": "1", "phrase": 1}, "say the same"),
    ],
)
def test_what_is_not_there_is_refused_in_a_line(wrong, said):
    with pytest.raises(UsageError, match=said):
        facts(**wrong)


def test_handles_are_shown_too():
    made, readings = two_hander()
    from dataclasses import replace

    plain = shot_facts(shot_of(made, readings)).frames
    assert shot_facts(shot_of(replace(made, handles=8), readings)).frames == (
        plain[0] - 8,
        plain[1] + 8,
    )


def test_beats_of_one_character_share_no_frame():
    beats = [b for b in facts().beats if b.beat.who == "clerk"]

    assert beats[0].frames[1] < beats[1].frames[0]


def test_a_frame_is_shown_as_asked():
    clock = facts().clock

    assert shown_frame(clock, 1017, "frames") == "1017"
    assert shown_frame(clock, 1017, "feet") == "1+00"
    assert shown_frame(clock, 1017, "timecode") == "00:00:00:16"
    assert shown_frame(clock, 1013, "seconds") == "0.50 s"
