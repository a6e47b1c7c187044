"""Readings with holes and oddities still give a plan that keeps the rules."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from made_voices import scene, voice
from plans import STAGE

from audio.reading import Glide, LoudnessTrack, PitchTrack, VoiceEvent
from planner.plan.drafts import LAYERS
from planner.plan.make import make_plan
from planner.scene import Beat, Cue
from planner.shot import shot_of

SAID = "that is the THIRD lamp. and it is NOT mine"
EMPTY = np.array([])


def no_phrases(v):
    return replace(v, phrases=())


def syllables_without_length(v):
    flat = tuple(replace(s, end_s=s.start_s, nucleus_s=s.start_s) for s in v.syllables)
    return replace(v, syllables=flat)


def no_tracks(v):
    return replace(v, pitch=PitchTrack(0.005, 0.0, EMPTY),
                   loudness=LoudnessTrack(0.005, 0.0, EMPTY, EMPTY))  # fmt: skip


def never_voiced(v):
    return replace(v, pitch=replace(v.pitch, hz=np.full(len(v.pitch.hz), np.nan)))


def many_events(v):
    kinds = ("breath", "laugh", "sigh", "laugh", "breath")
    return replace(v, events=tuple(
        VoiceEvent(kind, at_s, at_s + 0.6, 1.0)
        for kind, at_s in zip(kinds, (0.0, 0.1, 0.5, 2.0, 9.0), strict=True)
    ))  # fmt: skip


def odd_glides(v):
    everywhere = tuple(range(len(v.syllables)))
    return replace(v, glides=(
        Glide(0.0, 9.0, 12.0, "peak", True, everywhere), Glide(0.3, 0.3, 5.0, "rise", True, (0,)),
        Glide(0.3, 0.6, 5.0, "rise", True, ()), Glide(0.3, 0.6, 5.0, "rise", True, (99,)),
    ))  # fmt: skip


ODD = (no_phrases, syllables_without_length, no_tracks, never_voiced, many_events, odd_glides)


@pytest.mark.parametrize("oddly", ODD, ids=lambda f: f.__name__)
@pytest.mark.parametrize("shot", [None, (1001, 1010), (990, 1100), (1020, 1021), (1200, 1300)])
@pytest.mark.parametrize("step", [1, 3])
def test_the_plan_holds_together(oddly, shot, step):
    beats = [Beat("angry", "clerk", 1, (1, 4)), Beat("sad", "visitor", frames=(1002, 1060))]
    made = scene([("clerk", 0.0), ("visitor", 0.4), ("clerk", 1.0)], beats=beats, stage=STAGE,
                 shot=shot, step=step, cues=(Cue("visitor", 1, 1, "surprised"),))  # fmt: skip
    plan = make_plan(shot_of(made, {n: oddly(voice(SAID)) for n in (1, 2, 3)}))
    ids = [s.id for s in plan.suggestions]
    assert len(ids) == len(set(ids))
    ends: dict[tuple[str, str], int] = {}
    for s in plan.suggestions:
        assert plan.shot[0] <= s.frames[0] <= s.frames[1] <= plan.shot[1], s.id
        assert s.timing_chart, s.id
        if s.kind in LAYERS:
            assert s.rides_on in ids, s.id
        else:
            assert s.frames[0] >= ends.get((s.who, s.part), -1), s.id
            ends[(s.who, s.part)] = s.frames[1]
