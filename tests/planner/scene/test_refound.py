"""Beats and cues stay on their words, whatever is done to the text of their line."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.scene.word_diff import same_word
from planner.scene.words import words_of
from planner.scene_file import parse_scene

SCENE = """\
linebeat: 1
rate: 24
characters: [clerk, visitor]
lines:
  - who: clerk
    sound: a.flac
    at: 1
    say: {say}
beats:
  - line: 1
    words: 4-5
    said: [third, umbrella]
    intent: teasing
cues:
  - who: visitor
    hears: 1/4
    said: third
    intent: surprised
"""


def scene_saying(say: str):
    return parse_scene(SCENE.replace("{say}", f'"{say}"'))


def test_the_same_text_moves_nothing_and_says_nothing() -> None:
    scene = scene_saying("That is the third umbrella this week.")

    assert scene.beats[0].words == (4, 5)
    assert scene.moved == ()


def test_an_inserted_word_takes_beat_and_cue_along_and_says_so() -> None:
    scene = scene_saying("Well, that is the third umbrella this week.")

    assert scene.beats[0].words == (5, 6)
    assert scene.cues[0].word == 5
    assert scene.moved == (
        "beat 1 (teasing) follows its words in line 1: words 4-5 became words 5-6 "
        '("third ... umbrella")',
        'cue 1 follows its word "third" in line 1: word 4 became 5',
    )


def test_a_beat_whose_words_are_gone_is_told_and_keeps_what_it_was_made_for() -> None:
    scene = scene_saying("Well, there it is.")

    assert scene.beats[0].words == (4, 4)
    assert scene.beats[0].said == ("third", "umbrella")
    assert 'was made for "third ... umbrella", which line 1 no longer says' in scene.moved[0]


WORDS = st.sampled_from("that is the third umbrella this week well no again".split())


@given(before=st.lists(WORDS, max_size=6), after=st.lists(WORDS, max_size=6))
@settings(max_examples=200, deadline=None)
def test_no_beat_changes_its_words_in_silence(before: list[str], after: list[str]) -> None:
    scene = scene_saying(" ".join([*before, "third umbrella", *after, "end"]))

    first, last = scene.beats[0].words or (0, 0)
    now = words_of(scene.lines[0])
    assert same_word(now[first - 1], "third") or scene.moved
    assert (first, last) == (4, 5) or any("beat 1" in told for told in scene.moved)


def test_the_plan_tells_what_moved(linebeat, demo_scenes, tmp_path) -> None:
    """Text edited by hand -> plan: the beat goes along and the plan says so."""
    folder = tmp_path / "scene"
    folder.mkdir()
    source = demo_scenes / "lost_umbrella"
    (folder / "clerk_01.flac").write_bytes((source / "clerk_01.flac").read_bytes())
    text = SCENE.replace("a.flac", "clerk_01.flac").replace("at: 1", "at: 1")
    said = '"So that is the third umbrella this week."'
    (folder / "scene.yaml").write_text(text.replace("{say}", said), encoding="utf-8")

    ran = linebeat("plan", folder, "--json", "-")

    assert ran.code == 0
    assert "words 4-5 became words 5-6" in ran.out


@pytest.mark.parametrize("said", ["[]"])
def test_an_empty_guard_is_none(said: str) -> None:
    assert (
        parse_scene(
            SCENE.replace("{say}", "one two three four five").replace("[third, umbrella]", said)
        )
        .beats[0]
        .said
        == ()
    )
