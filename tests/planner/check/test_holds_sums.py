"""Sums kept for long scenes give what walking over every line and stress gives."""

from __future__ import annotations

from types import SimpleNamespace

from hypothesis import given
from hypothesis import strategies as st

from planner.check.findings.empty_hold import _by_frame, _spoken_before

FRAMES = st.integers(-50, 300)
STRETCH = st.tuples(FRAMES, st.integers(0, 60)).map(lambda x: (x[0], x[0] + x[1]))


@given(st.lists(STRETCH, max_size=8), STRETCH)
def test_frames_spoken_in_a_hold(speech, hold):
    start, end = hold
    before = _spoken_before(speech)

    assert before(end) - before(start) == sum(
        max(0, min(end, b) - max(start, a)) for a, b in speech
    )


@given(st.lists(FRAMES, max_size=12), STRETCH)
def test_stresses_within_a_hold(frames, hold):
    start, end = hold
    stresses = [SimpleNamespace(frame=f, word=k) for k, f in enumerate(frames)]

    found = _by_frame(stresses)(start, end)

    assert [s.word for s in found] == [s.word for s in stresses if start < s.frame < end]
