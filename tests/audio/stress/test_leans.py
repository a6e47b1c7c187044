"""The judge of contrast: what it looks at, how scores compete, what its shares add up to."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest

from audio.stress.expected_sound import KINDS
from audio.stress.leans import (
    REACH,
    SHARES,
    Surroundings,
    around_each,
    compete,
    find_leans,
    in_spreads,
    standing,
)
from audio.stress.stress_cues import Cues

COUNT = 11
CONTENT, UNKNOWN = KINDS.index("content"), KINDS.index("unknown")


def cues(count: int = COUNT, seed: int = 1, **moved: float) -> Cues:
    """An ordinary line; `moved` adds to cues of the middle syllable."""
    rng = np.random.default_rng(seed)
    scale = {"st": 0.8, "db": 1.0, "log": 0.08}
    values = {
        f.name: rng.standard_normal(count) * scale[f.name.rsplit("_", 1)[1]] for f in fields(Cues)
    }
    for name, by in moved.items():
        values[name][count // 2] += by
    return Cues(**values)


def sure(line: Cues, *, words: bool) -> np.ndarray:
    count = len(line.level_db)
    kinds = [CONTENT if words else UNKNOWN] * count
    lexicon = np.ones(count) if words else None
    return find_leans(line, kinds, lexicon, [(0, count - 1)]).sure


LEANED = {
    "pitch_body_st": 6.0, "pitch_top_st": 6.0, "pitch_move_st": 2.0, "pitch_wave_st": 6.0,
    "level_db": 5.0, "level_wave_db": 6.0, "length_log": 0.5, "vowel_log": 0.6,
    "length_wave_log": 0.4,
}  # fmt: skip


@pytest.mark.parametrize("words", [True, False])
def test_a_lean_is_found_and_an_ordinary_line_has_none(words: bool) -> None:
    leaned = sure(cues(**LEANED), words=words)
    plain = np.array([sure(cues(seed=seed), words=words).max() for seed in range(12)])

    assert int(np.argmax(leaned)) == COUNT // 2
    assert leaned[COUNT // 2] > 0.8
    assert np.median(plain) < 0.4


@pytest.mark.parametrize("words", [True, False])
def test_gain_and_balance_of_the_recording_change_nothing(words: bool) -> None:
    line = cues(**LEANED)
    other = replace(line, level_db=line.level_db - 31.0, tilt_db=line.tilt_db + 6.0)

    assert sure(other, words=words) == pytest.approx(sure(line, words=words))


def test_a_phrase_leaned_on_twice_names_both() -> None:
    line = cues(16, **LEANED)
    values = {f.name: getattr(line, f.name).copy() for f in fields(Cues)}
    for name, by in LEANED.items():
        values[name][2] += by
    once, twice = (
        np.flatnonzero(find_leans(c, [CONTENT] * 16, np.ones(16), [(0, 15)]).both > 0.6).tolist()
        for c in (line, Cues(**values))
    )
    assert once == [8]
    assert twice == [2, 8]


def test_tempo_changes_nothing() -> None:
    """A slow reading of the same line: every length is longer by the same share."""
    line = cues(**LEANED)
    slow = replace(line, length_log=line.length_log + 0.4, vowel_log=line.vowel_log + 0.4)

    assert sure(slow, words=True) == pytest.approx(sure(line, words=True))


def test_what_is_further_away_or_in_another_phrase_does_not_matter() -> None:
    line, count = cues(3 * REACH), 3 * REACH
    own = in_spreads(line, [CONTENT] * count, known=True)
    rest = standing([CONTENT] * count, np.ones(count), [(0, count - 1)])
    far = own.copy()
    far[REACH + 1 :] += 7.0
    one = Surroundings.of(own, [(0, count - 1)]).features(own, rest)[0]
    other = Surroundings.of(far, [(0, count - 1)]).features(far, rest)[0]
    parted = Surroundings.of(own, [(0, 3), (4, count - 1)])
    short = Surroundings.of(own[:4], [(0, 3)])

    assert one == pytest.approx(other)
    assert parted.median[:4] == pytest.approx(short.median)
    assert parted.highest[:4] == pytest.approx(short.highest)


def test_surroundings_are_those_of_plain_counting() -> None:
    own = np.random.default_rng(4).standard_normal((7, 10))
    view = Surroundings.of(own, [(0, 6)])
    for i in range(7):
        others = np.delete(own, i, axis=0)
        assert view.median[i] == pytest.approx(np.median(others, axis=0))
        assert view.highest[i] == pytest.approx(others.max(axis=0))
        assert view.spread[i] == pytest.approx(others.std(axis=0))


def test_scores_compete_with_those_around_and_with_none() -> None:
    score = np.array([3.0, 3.0, -9.0, -9.0])
    alone, both = compete(score * [1, -1, 1, 1], [(0, 3)]), compete(score, [(0, 3)])

    assert both[0] == pytest.approx(both[1])
    assert alone[0] > both[0]
    assert both.sum() < 1.0
    assert compete(score, [(0, 0), (1, 3)])[0] > both[0]  # a phrase of its own
    assert around_each(np.ones(40), [(0, 39)])[20] == 2 * REACH + 1


@pytest.mark.parametrize(("cue", "share"), [("pitch_body_st", "pitch"), ("level_db", "loudness")])
def test_shares_name_what_was_moved_and_add_up(cue: str, share: str) -> None:
    """Shapley values are efficient: they sum to what all cues together add (Shapley 1953)."""
    moved = {name: by for name, by in LEANED.items() if name[:5] == cue[:5]}
    line = cues(**moved)
    kinds, lexicon, phrases = [CONTENT] * COUNT, np.ones(COUNT), [(0, COUNT - 1)]
    found = find_leans(line, kinds, lexicon, phrases)
    shares = {name: found.shares[name][COUNT // 2] for name in SHARES}

    assert max(shares, key=lambda name: shares[name]) == share
    flat = in_spreads(line, kinds, known=True)
    view = Surroundings.of(flat, phrases)
    assert sum(shares.values()) == pytest.approx(_added(flat, view, kinds, lexicon), abs=1e-6)


def _added(own: np.ndarray, view: Surroundings, kinds: list[int], lexicon: np.ndarray) -> float:
    from audio.stress.leans import judges

    rest = standing(kinds, lexicon, [(0, COUNT - 1)])
    scores = []
    for heard in (own, view.median):
        features = view.features(heard, rest)[COUNT // 2]
        total = 0.0
        for w1, b1, w2, b2, w3, b3 in judges()["words"]:
            total += float(np.tanh(np.tanh(features @ w1 + b1) @ w2 + b2) @ w3[:, 0] + b3[0])
        scores.append(total / len(judges()["words"]))
    return scores[0] - scores[1]


@pytest.mark.parametrize("count", [1, 2])
def test_very_short_lines_are_judged(count: int) -> None:
    found = sure(cues(count), words=True)

    assert len(found) == count
    assert np.isfinite(found).all()


def test_of_two_sure_leans_the_larger_counts_more() -> None:
    line = cues(31, **{name: 1.5 * by for name, by in LEANED.items()})
    for name, by in LEANED.items():  # a second one, beyond the reach of the first
        getattr(line, name)[2] += by
    found = sure(line, words=True)

    assert found[15] > found[2] > 0.8
