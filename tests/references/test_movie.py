"""The movie read back by PyAV (FFmpeg): frames, rate, and where its sound lies."""

from __future__ import annotations

import io
from fractions import Fraction
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from planner.commands._shared import load_shot
from planner.export.facts import ShotFacts, shot_facts
from planner.export.shot_sound import shot_flac

av = pytest.importorskip("av")
pytest.importorskip("PIL")

FRAMES = (1001, 1048)
DEMO = Path(__file__).parents[2] / "demo_scenes" / "lost_umbrella"


@cache
def facts() -> ShotFacts:
    """Two seconds of the bundled scene."""
    return shot_facts(load_shot(str(DEMO)), frames=FRAMES)


@cache
def movie() -> bytes:
    """Its movie."""
    from planner.export.movie import movie_bytes

    return movie_bytes(facts())


def test_a_picture_a_frame_at_the_scenes_rate() -> None:
    with av.open(io.BytesIO(movie())) as opened:
        stream = opened.streams.video[0]
        pictures = [(f.pts * stream.time_base, f.to_ndarray(format="gray")) for f in
                    opened.decode(video=0)]  # fmt: skip

    assert stream.average_rate == facts().clock.rate.frames_per_s
    assert len(pictures) == FRAMES[1] - FRAMES[0] + 1
    assert [at for at, _ in pictures] == [Fraction(k, 24) for k in range(len(pictures))]
    first, later = pictures[0][1].astype(float), pictures[20][1].astype(float)
    assert (first < 90).mean() > 0.005  # ink
    assert np.abs(first - later).max() > 100  # it moves


def test_the_sound_starts_with_its_picture() -> None:
    """By correlation with the shot's own sound: off by less than a quarter of a frame."""
    import soundfile
    import soxr

    with av.open(io.BytesIO(movie())) as opened:
        stream = opened.streams.audio[0]
        blocks, starts = [], []
        for frame in opened.decode(audio=0):
            blocks.append(frame.to_ndarray()[0])
            starts.append(float(frame.pts * frame.time_base))
    heard = np.concatenate(blocks)
    own, rate_hz = soundfile.read(io.BytesIO(shot_flac(facts())), dtype="float32")
    own = soxr.resample(own, rate_hz, stream.rate)
    count = 1 << int(np.ceil(np.log2(len(own) + len(heard))))
    likeness = np.fft.irfft(np.fft.rfft(heard, count) * np.conj(np.fft.rfft(own, count)))
    shift = int(np.argmax(likeness))
    shift = shift - count if shift > count // 2 else shift
    offset_s = starts[0] + shift / stream.rate

    assert abs(offset_s) < 0.25 / 24
    assert len(heard) / stream.rate == pytest.approx(2.0, abs=0.06)
