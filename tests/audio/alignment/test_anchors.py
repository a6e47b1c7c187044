"""The rough pass over a whole script, on made-up fits where the truth is known."""

from __future__ import annotations

import numpy as np
import pytest

from audio.alignment.acoustic_model import english_model
from audio.alignment.anchors import (
    LONGEST_PIECE_S,
    PIECE_S,
    STEP_S,
    RoughWord,
    cut_pieces,
    rough_alignment,
)

WORDS = [("K", "AE", "T"), ("S", "IH", "T"), ("AA", "N"), ("M", "AE", "T")]


def fits_of(labels: list[str], *, seed: int = 0) -> np.ndarray:
    """Fits in which the labelled phone is best at each frame and all others are worse."""
    model = english_model()
    rng = np.random.default_rng(seed)
    fits = -8 + 2 * rng.standard_normal((len(labels), len(model.phones)))
    for frame, label in enumerate(labels):
        fits[frame, model.book(label)] = -0.5
    return (fits - fits.max(axis=1, keepdims=True)).astype(np.float32)


def labels_of(words: list[tuple[str, ...]], *, gap: int, length: int = 4) -> list[str]:
    labels = ["SIL"] * gap
    for phones in words:
        labels += [phone for phone in phones for _ in range(length)] + ["SIL"] * gap
    return labels


@pytest.mark.parametrize("gap", [0, 3])
def test_words_are_found_where_they_are_with_and_without_pauses(gap: int) -> None:
    rough = rough_alignment(fits_of(labels_of(WORDS, gap=gap)), WORDS, english_model())

    assert rough is not None
    at = gap
    for word, phones in zip(rough, WORDS, strict=True):
        assert word.edges == tuple(range(at, at + 4 * len(phones) + 1, 4))
        at += 4 * len(phones) + gap


def test_sound_that_is_not_in_the_script_is_waited_through() -> None:
    extra = [("B", "R", "EH", "D"), ("HH", "AH", "N", "IY")]
    labels = labels_of([*WORDS[:2], *extra, *WORDS[2:]], gap=2)

    rough = rough_alignment(fits_of(labels), WORDS, english_model())

    assert rough is not None
    assert rough[2].start == labels.index("AA")
    assert rough[1].end <= labels.index("B")


def test_a_band_narrower_than_the_script_follows_the_path(monkeypatch: pytest.MonkeyPatch) -> None:
    many = WORDS * 40
    labels = labels_of(many, gap=1)
    whole = rough_alignment(fits_of(labels), many, english_model())
    monkeypatch.setattr("audio.alignment.anchors.BAND_PHONES", 60)

    assert rough_alignment(fits_of(labels), many, english_model()) == whole


def test_more_phones_than_frames_cannot_be_laid() -> None:
    assert rough_alignment(fits_of(["SIL"] * 9), WORDS, english_model()) is None


def test_cuts_fall_into_pauses_and_pieces_join_without_gaps() -> None:
    words = [RoughWord((100 * i + 10, 100 * i + 90)) for i in range(40)]  # 2 s each, 0.4 s pauses

    pieces = cut_pieces(words, 4000)

    assert (pieces[0].start, pieces[-1].end) == (0, 4000)
    assert [p.end for p in pieces[:-1]] == [p.start for p in pieces[1:]]
    assert [p.end_word for p in pieces[:-1]] == [p.first_word for p in pieces[1:]]
    for piece in pieces[:-1]:
        assert piece.end % 100 == 0  # the middle of a pause
        assert PIECE_S <= (piece.end - piece.start) * STEP_S + 0.4 <= LONGEST_PIECE_S
