"""`linebeat takes` as a user calls it, on the demo's own sound."""

from __future__ import annotations

import json

import pytest


@pytest.fixture
def other_take(demo_scenes, tmp_path):
    """The clerk's first line, a fifth faster."""
    import soundfile
    from parselmouth import Sound
    from parselmouth.praat import call

    sound = Sound(str(demo_scenes / "lost_umbrella" / "clerk_01.flac"))
    manipulation = call(sound, "To Manipulation", 0.01, 75, 500)
    tier = call("Create DurationTier", "faster", 0, sound.duration)
    call(tier, "Add point", 0, 0.8)
    call([manipulation, tier], "Replace duration tier")
    made = call(manipulation, "Get resynthesis (overlap-add)")
    path = tmp_path / "take2.wav"
    soundfile.write(path, made.values[0], int(made.sampling_frequency))
    return path


def test_a_faster_take_is_compared_with_the_scenes_own(linebeat, demo_scenes, other_take):
    ran = linebeat("takes", demo_scenes / "lost_umbrella", "third", other_take)
    assert ran.code == 0
    assert "faster" in ran.out
    plan = ran.out.partition("the plan would change:")[2]
    assert 'accent (head), on "third":' in plan
    assert "/" not in plan  # no ids: they are for files


def test_the_json_stands_alone_on_standard_output(linebeat, demo_scenes, other_take):
    ran = linebeat("takes", demo_scenes / "lost_umbrella", "1", other_take, "--json", "-")
    data = json.loads(ran.out)
    assert data["linebeat"] == 1
    assert data["second"]["syllables_per_s"] == pytest.approx(
        data["first"]["syllables_per_s"] / 0.8, rel=0.1
    )


def test_an_unknown_line_and_a_missing_take_are_one_clear_line(linebeat, demo_scenes, tmp_path):
    ran = linebeat("takes", demo_scenes / "lost_umbrella", "thrid", __file__)
    assert ran.code == 2
    assert 'no line "thrid"' in ran.err
    assert 'did you mean "third"?' in ran.err
    ran = linebeat("takes", demo_scenes / "lost_umbrella", "third", tmp_path / "none.wav")
    assert ran.code == 2
    assert "no such sound file" in ran.err
