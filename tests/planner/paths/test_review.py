"""The review as a whole: JSON, words and beats, one chunk alone, gaps, two versions, pictures."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest

from audio.errors import UsageError
from planner.paths.compare import compare_reviews
from planner.paths.findings import BeatSpan, WordSpan
from planner.paths.picture import draw_review
from planner.paths.review import only_frames, review_paths
from planner.paths.tracks import Tracks
from planner.scene import Note

MOVE_KEYS = ["track", "frames", "straightness", "bulge", "peak_over_mean_speed", "settle_frames"]
LAG_KEYS = ["leader", "follower", "frames", "lag_frames", "likeness"]
FINDING_KEYS = ["kind", "who", "frames", "parts", "measured", "usual", "certain", "text"]


@pytest.fixture
def two(made: Any) -> Tracks:
    """A head that moves twice, the first time straight, and a chest that follows by three."""
    head = made.at(60 * made.ease(20, 34), 40 * made.ease(20, 34)) + made.arc(made.ease(70, 84))
    chest = made.arc(made.ease(73, 87), size=50) + made.at(0, 260)
    return made.tracks(nose=made.breathing(head, 0.8), chest=made.breathing(chest, 0.8))


def test_json_has_the_contracts_keys_first(made: Any, two: Tracks) -> None:
    review = review_paths(two, clock=made.clock, who="clerk")
    data = json.loads(json.dumps(review.to_json(), allow_nan=False))

    assert data["linebeat"] == 1 and data["ok"] is False
    assert [list(m)[: len(MOVE_KEYS)] for m in data["moves"]] == [MOVE_KEYS] * 3
    assert [list(lag)[: len(LAG_KEYS)] for lag in data["lags"]] == [LAG_KEYS]
    assert [list(f)[: len(FINDING_KEYS)] for f in data["findings"]] == [FINDING_KEYS]
    finding = data["findings"][0]
    assert finding["kind"] == "straight-path" and finding["who"] == "clerk"
    assert set(finding["usual"]) <= set(finding["measured"])
    assert data["lags"][0]["leader"] == "nose"
    assert data["lags"][0]["lag_frames"] == pytest.approx(3, abs=0.2)


def test_findings_are_tied_to_words_and_beat(made: Any, two: Tracks) -> None:
    words = [WordSpan(1, 1, "The", 10, 22), WordSpan(1, 2, "third", 23, 40),
             WordSpan(1, 3, "one", 60, 70)]  # fmt: skip
    beats = [BeatSpan(0, "clerk", "teasing", 1, 50), BeatSpan(1, "visitor", "sad", 1, 120)]

    review = review_paths(two, clock=made.clock, who="clerk", words=words, beats=beats)

    finding = review.findings[0]
    assert (finding.line, finding.words, finding.beat) == (1, (1, 2), 0)
    assert '(on "The third", line 1, beat 1, teasing): ' in finding.text


def test_a_chunk_shows_what_lies_in_it_and_what_runs_over(made: Any, two: Tracks) -> None:
    whole = review_paths(two, clock=made.clock)

    chunk = only_frames(whole, (60, 80))

    assert {move.track for move in chunk.moves} == {"nose", "chest"} and len(chunk.moves) == 2
    assert chunk.findings == () and chunk.ok
    told = chunk.to_json()["chunk"]
    assert told["frames"] == [60, 80] and set(told["parts"]) == {"head", "chest"}
    assert [m["track"] for m in told["runs_over"]] == ["nose", "chest"]


def test_a_move_into_a_gap_is_told_and_not_measured(made: Any, two: Tracks) -> None:
    points = two.points.copy()
    points[0, 24:28] = np.nan

    review = review_paths(Tracks(two.names, 1, points), clock=made.clock)

    assert [m.frames[0] > 60 for m in review.moves if m.track == "nose"] == [True]
    assert any(r.startswith("nose moves into a gap on frames 2") for r in review.remarks)
    assert "straight-path" not in {f.kind for f in review.findings}


@pytest.mark.parametrize("count", [1, 3, 7])
def test_too_few_frames_are_said_to_be_too_few(made: Any, count: int) -> None:
    review = review_paths(Tracks(("nose",), 1, np.zeros((1, count, 2))), clock=made.clock)

    assert review.ok and "too few" in review.remarks[0]


def test_a_track_without_positions_is_left_out(made: Any, two: Tracks) -> None:
    points = np.concatenate([two.points, np.full((1, 120, 2), np.nan)])

    review = review_paths(Tracks((*two.names, "lost"), 1, points), clock=made.clock)

    assert "lost has too few positions to measure" in review.remarks
    assert len(review.moves) == 3


def test_two_versions_tell_what_is_gone_new_and_kept(made: Any, two: Tracks) -> None:
    mended = two.points.copy()
    ease = made.ease(20, 34)
    mended[0] += made.at(-30 * ease * (1 - ease), 40 * ease * (1 - ease))
    mended[1, 60] += (15, 0)
    new_tracks = Tracks(two.names, 1, mended)
    notes = (Note((22, 30), "more arc in the head", who="clerk"),
             Note((22, 30), "the hand is late"), Note((90, 99), "softer"),
             Note((22, 30), "old", done=True))  # fmt: skip
    old, new = (review_paths(t, clock=made.clock, who="clerk") for t in (two, new_tracks))

    changes = compare_reviews(old, new, old_tracks=two, new_tracks=new_tracks, notes=notes)

    assert [f.kind for f in changes.gone] == ["straight-path"]
    assert [(f.kind, f.frames) for f in changes.new] == [("pop", (61, 61))]
    assert changes.kept == ()
    assert [(n.number, n.state) for n in changes.notes] == [
        (1, "answered"), (2, "changed"), (3, "untouched"),
    ]  # fmt: skip
    assert {m.track for m in changes.moved} == {"nose", "chest"}
    chest = next(m for m in changes.moved if m.track == "chest")
    assert chest.frames == (61, 61) and chest.most == pytest.approx(15)


def test_a_version_against_itself_changes_nothing(made: Any, two: Tracks) -> None:
    review = review_paths(two, clock=made.clock)

    changes = compare_reviews(review, review, old_tracks=two, new_tracks=two)

    assert (changes.moved, changes.gone, changes.new) == ((), (), ())
    assert changes.kept == review.findings


@pytest.mark.parametrize("name", ["p.svg", "p.png"])
def test_pictures_are_whole_and_always_the_same(
    made: Any, two: Tracks, tmp_path: Path, name: str
) -> None:
    review = review_paths(two, clock=made.clock)

    draw_review(str(tmp_path / name), two, review)
    first = (tmp_path / name).read_bytes()
    draw_review(str(tmp_path / name), two, review)

    assert (tmp_path / name).read_bytes() == first
    if name.endswith("svg"):
        text = "".join(ElementTree.fromstring(first.decode()).itertext())
        assert "straight-path" in text
    else:
        assert first.startswith(b"\x89PNG")


def test_a_picture_of_nothing_wrong_shows_moves_and_lags(
    made: Any, two: Tracks, tmp_path: Path
) -> None:
    review = only_frames(review_paths(two, clock=made.clock), (60, 100))

    draw_review(str(tmp_path / "p.svg"), two, review)

    text = "".join(ElementTree.fromstring((tmp_path / "p.svg").read_text()).itertext())
    assert "3.0 frames apart" in text and "chest" in text


def test_the_core_loads_nothing_heavy() -> None:
    code = "import sys, planner.paths.review, planner.paths.track_file; print(*sys.modules)"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    loaded = set(run.stdout.split())
    assert "planner.paths.lags" in loaded
    assert not loaded & {"scipy", "matplotlib", "rich", "librosa", "textual", "click"}


def test_an_unknown_kind_of_picture_is_refused(made: Any, two: Tracks, tmp_path: Path) -> None:
    with pytest.raises(UsageError, match=r"use \.svg or \.png"):
        draw_review(str(tmp_path / "p.gif"), two, review_paths(two, clock=made.clock))
