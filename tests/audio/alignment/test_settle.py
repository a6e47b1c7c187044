"""Boundaries settled between the decoder's frames, and confidence from the model's phones."""

from __future__ import annotations

import numpy as np
import pytest

from audio.alignment.acoustic_model import STATES, english_model
from audio.alignment.cepstra import HOP, cepstra, streams
from audio.alignment.confidence import EVERY, confidence_of, goodness, phone_fits
from audio.alignment.settle import LABEL_LEAD, LaidPhone, chain_of, settle


def laid(phone: str, first: int, end: int, word: int) -> LaidPhone:
    states = STATES * english_model().book(phone)
    return LaidPhone(phone, first, end, tuple(range(states, states + STATES)), word)


def streams_like(labels: list[str]) -> np.ndarray:
    """Streams that are the mean of the likeliest Gaussian of each labelled phone."""
    model = english_model()
    rows = []
    for label in labels:
        book = model.book(label)
        top = model.own_weights[:, book, :, 1].argmax(axis=1)
        square, value = model.gauss[:, book, :13], model.gauss[:, book, 13:]
        rows.append([value[s, :, top[s]] / (-2 * square[s, :, top[s]]) for s in range(3)])
    return np.asarray(rows, dtype=np.float32).transpose(1, 0, 2).copy()


def test_silences_join_and_both_ends_have_one() -> None:
    phones = [
        laid("SIL", 0, 3, -1), laid("+NSN+", 3, 5, -1), laid("S", 5, 9, 0), laid("IY", 9, 20, 0),
    ]  # fmt: skip

    chain = chain_of(phones, english_model(), 25)

    assert [(p.phone, p.first, p.end) for p in chain] == [
        ("SIL", 0, 5), ("S", 5, 9), ("IY", 9, 20), ("SIL", 20, 25),
    ]  # fmt: skip


def test_boundaries_settle_alike_wherever_the_decoder_had_put_them() -> None:
    heard = streams_like(["SIL"] * 15 + ["S"] * 20 + ["IY"] * 20 + ["SIL"] * 15)

    def settled(off: int) -> np.ndarray:
        phones = [laid("S", 14 + off, 34 + off, 0), laid("IY", 34 + off, 54 + off, 0)]
        return settle(heard, chain_of(phones, english_model(), 70), english_model())

    edges = settled(0)
    assert edges[[0, -1]] == pytest.approx([0, 70])
    assert edges[2:-1] == pytest.approx(np.array([35, 55]) - 0.5 - LABEL_LEAD, abs=1.5)
    assert (np.diff(edges) > 0).all()
    for off in (-6, -3, 3, 6):
        assert settled(off)[2:] == pytest.approx(edges[2:], abs=0.5)
        assert settled(off)[1] == pytest.approx(edges[1], abs=2.0)  # a made-up onset is vague


def test_fits_are_best_for_the_phone_that_sounds() -> None:
    model = english_model()
    for phone in ("S", "IY", "SIL"):
        fits = phone_fits(streams_like([phone] * 200), model)

        assert fits.shape == (100, len(model.phones))
        assert fits.max() == 0
        assert (fits.argmax(axis=1) == model.book(phone)).all()


def test_fits_in_chunks_are_the_scores_of_single_frames() -> None:
    rng = np.random.default_rng(2)
    model = english_model()
    heard = streams(cepstra(0.1 * rng.standard_normal(3 * 16000).astype(np.float32)))
    own = [
        model.score(heard[:, ::EVERY], b, range(STATES * b, STATES * b + STATES)).max(axis=1)
        for b in range(len(model.phones))
    ]
    expected = np.stack(own, axis=1)

    assert phone_fits(heard, model) == pytest.approx(
        expected - expected.max(axis=1, keepdims=True), abs=2e-2
    )


def test_the_wrong_phone_has_low_goodness_and_no_confidence() -> None:
    model = english_model()
    fits = phone_fits(streams_like(["IY"] * 40), model)
    edges = np.array([0.0, 40.0])

    right = goodness(fits, [laid("IY", 0, 40, 0)], edges, model)[0]
    wrong = goodness(fits, [laid("S", 0, 40, 0)], edges, model)[0]

    assert right == pytest.approx(0)
    assert wrong < -5
    assert confidence_of(right) > 0.95
    assert confidence_of(wrong) < 0.2


def test_cepstra_have_a_frame_each_ten_milliseconds_whatever_the_length() -> None:
    for length in (0, 1, HOP - 1, HOP, 16000):
        assert cepstra(np.zeros(length, dtype=np.float32)).shape == (length // HOP + 1, 13)
