"""A Shot: what is heard lies on the same frames for plan, check, desk and exports."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from types import MappingProxyType

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_voices import scene, voice

from planner.commands.paths import beat_spans, word_spans
from planner.export.facts import shot_facts
from planner.frames import Clock, FrameRange, FrameRate
from planner.plan.make import make_plan
from planner.scene import Beat, Heard
from planner.shot import shot_of
from planner.shot.laid import lay_shot

SAID = "that is the THIRD ~lamp this week. and it STAYS here"
RATES = ("23.976", "24", "25", "29.97", "30", "50", "60")
seconds = st.floats(0, 100, allow_nan=False)


def clip_of(length_s):
    """A voice whose clip has just that length."""
    reading = voice("ah")
    return replace(reading, clip=replace(reading.clip, duration_s=length_s))


@pytest.mark.parametrize("rate", RATES)
def test_a_round_clip_length_ends_on_one_frame_for_plan_and_desk(rate):
    """Forty round lengths a rate; the exact number of frames that begin before the end."""
    for tenths in range(1, 41):
        length_s = tenths / 4
        made = scene(rate=rate)
        shot = shot_of(made, {1: clip_of(length_s)})
        exact = -(-tenths * made.rate.frames_per_s // 4)  # ceiling
        expected = (1001, 1000 + exact)
        assert make_plan(shot).lines[0].frames == expected
        assert lay_shot(shot).lines[0].frames == expected


def test_clips_that_abut_lie_on_one_track_of_the_timeline():
    """Of 3.01 and 4.0 s: both have a part of frame 1073, which is the second one's."""
    otio = pytest.importorskip("opentimelineio")
    from planner.export.timeline import timeline_of

    for first_s in (3.0, 3.01):
        made = scene([("clerk", 0.0), ("clerk", first_s)])
        shot = shot_of(made, {1: clip_of(first_s), 2: clip_of(4.0)})
        tracks = timeline_of(shot_facts(shot)).tracks
        clips = [c for c in tracks[0] if isinstance(c, otio.schema.Clip)]
        assert len(tracks) == 1
        assert [c.duration().value for c in clips] == [72, 96 + (first_s > 3)]


@given(
    st.sampled_from(RATES), st.floats(0, 3), st.floats(0.05, 0.3), st.integers(1, 10),
    st.integers(0, 9),
)  # fmt: skip
def test_a_beat_has_the_same_frames_everywhere(rate, at_s, syllable_s, first, more):
    beats = [Beat("teasing", "clerk", 1, (first, min(first + more, 10))), Beat("sad", "clerk", 2)]
    made = scene([("clerk", at_s), ("clerk", at_s + 9)], beats=beats, rate=rate)
    shot = shot_of(made, {1: voice(SAID, syllable_s=syllable_s), 2: voice(SAID)})
    frames = shot.beat_frames(beats[0])
    assert frames is not None
    assert next((b.first_frame, b.last_frame) for b in beat_spans(shot)) == frames
    assert shot_facts(shot).beats[0].frames == frames
    laid = lay_shot(shot).lines[0].words
    spans = [(w.first_frame, w.last_frame) for w in word_spans(shot) if w.line == 1]
    assert spans == [w.frames for w in laid]
    assert frames == (laid[first - 1].frames[0], laid[min(first + more, 10) - 1].frames[1])


def test_neighbouring_words_share_no_frame():
    shot = shot_of(scene(), {1: voice(SAID, syllable_s=0.11)})
    words = shot.words[1]
    assert all(a.last < b.first for a, b in pairwise(words))


def test_a_beat_without_words_or_frames_is_its_whole_line():
    shot = shot_of(scene(beats=[Beat("sad", "clerk", 1)]), {1: voice(SAID, lead_s=0.5)})
    frames = shot.beat_frames(shot.scene.beats[0])
    assert frames == (shot.words[1][0].first, shot.words[1][-1].last)


def test_what_the_user_hears_is_laid_over_once_and_for_all():
    heard = Heard(unstress=(4,), words_s=MappingProxyType({1: (0.0, 0.04)}))
    made = scene()
    made = replace(made, lines=(replace(made.lines[0], heard=heard),))
    shot = shot_of(made, {1: voice(SAID, lead_s=0.3)})
    assert "THIRD" not in [s.text for s in make_plan(shot).lines[0].stresses]
    assert shot.words[1][0] == (1001, 1001)
    assert lay_shot(shot).lines[0].words[0].frames == (1001, 1001)


def test_an_edited_scene_hears_the_same_readings():
    """Plans are kept by reading: what is heard alike must be the same object."""
    made = scene()
    made = replace(made, lines=(replace(made.lines[0], heard=Heard(stress=(1,))),))
    shot = shot_of(made, {1: voice(SAID)})
    edited = shot.changed(replace(made, beats=(Beat("sad", "clerk", 1, (1, 2)),)))
    assert edited.heard[1] is shot.heard[1]
    other = replace(made, lines=(replace(made.lines[0], heard=Heard(stress=(2,))),))
    assert shot.changed(other).heard[1] is not shot.heard[1]


def test_a_range_knows_its_frames():
    seen = FrameRange(1001, 1010)
    assert seen.count == 10
    assert 1010 in seen and 1011 not in seen and (1002, 1011) not in seen
    assert seen & (1008, 1020) == (1008, 1010)
    assert seen & (1011, 1020) is None
    assert seen.shifted(-1).widened(2) == (998, 1011)
    assert list(FrameRange(3, 5).numbers) == [3, 4, 5]
    with pytest.raises(ValueError, match="5-4 end before they begin"):
        FrameRange(5, 4)


@given(st.sampled_from(RATES), seconds, seconds)
def test_frames_between_are_those_on_screen(rate, start_s, length_s):
    """Every frame of the range begins before the end, the next one does not (to a 1e-4 frame)."""
    clock = Clock(FrameRate.parse(rate), 1001)
    frames = clock.frames_between(start_s, start_s + length_s)
    slack_s = 2e-4 / float(clock.rate.frames_per_s)
    begins_s, ends_s = clock.seconds_of(frames)
    assert begins_s <= start_s + slack_s
    assert ends_s >= start_s + length_s - slack_s
    if frames.count > 1:
        assert clock.scene_s(frames.last) < start_s + length_s + slack_s
