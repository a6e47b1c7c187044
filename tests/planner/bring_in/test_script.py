"""Scripts with tags: read back as written, and every mistake said with its line."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shown import NASTY, two_hander

from audio.errors import SceneError, UsageError
from audio.words.transcript import read_transcript
from planner.bring_in.script import read_script
from planner.bring_in.script_scene import scene_of_script, with_script
from planner.export.plain import one_line
from planner.export.script import ScriptWriter, word_places
from planner.frames import FrameRate
from planner.scene import Beat, Scene
from planner.scene.start import StartClip
from planner.scene_file import parse_scene, scene_to_text

RATE = FrameRate.parse("25")


def back(scene: Scene, *, markdown: bool) -> Scene:
    script = read_script(ScriptWriter(markdown).scene(scene), file="script.md")
    return scene_of_script(script, rate=RATE)


@pytest.mark.parametrize("markdown", [True, False])
def test_a_scene_comes_back_from_its_script_with_words_beats_and_cues(markdown):
    made, _ = two_hander(step=2)

    found = back(made, markdown=markdown)

    assert found.title == made.title
    assert found.clock == made.clock
    assert found.beats == made.beats
    assert found.cues == made.cues
    for a, b in zip(found.lines, made.lines, strict=True):
        assert (a.id, a.who, a.sound, a.say, a.at_s) == (b.id, b.who, b.sound, b.say, b.at_s)


@pytest.mark.parametrize("markdown", [True, False])
@pytest.mark.parametrize("note", NASTY)
def test_a_hostile_note_comes_back_as_its_line(note, markdown):
    made, _ = two_hander()
    beats = (replace(made.beats[0], note=one_line(note)), *made.beats[1:])

    assert back(replace(made, beats=beats), markdown=markdown).beats == beats


@pytest.mark.parametrize("markdown", [True, False])
@pytest.mark.parametrize("who", ["=1+1", "a: b", "c (old)", "*star*", "שלום", "{x}", "d; e", "#f"])
def test_a_hostile_name_comes_back(who, markdown):
    made, _ = two_hander()
    lines = tuple(replace(x, who=who) for x in made.lines)
    beats = (Beat("teasing", who, 1, (1, 4), None, 0.5, who, "n"),)
    made = replace(made, lines=lines, characters=(who,), beats=beats, cues=())

    found = back(made, markdown=markdown)

    assert [x.who for x in found.lines] == [who, who]
    assert found.beats == beats


@pytest.mark.parametrize("markdown", [True, False])
@pytest.mark.parametrize(
    "say",
    [
        "\"Well-\" [sighs] that's it, dogs' and all.",
        "I-I *laughs* can't {wait} for it... (softly) no!",
        "Give me 3 \\ 4 of <it> & go -- now.",
    ],
)
def test_what_is_said_comes_back_with_directions_and_marks(say, markdown):
    made, _ = two_hander()
    count = len(read_transcript(say).words)
    beats = (Beat("teasing", "clerk", 1, (1, 2)), Beat("amused", "clerk", 1, (3, count)))
    made = replace(
        made, lines=(replace(made.lines[0], say=say),), beats=beats, cues=(),
        characters=("clerk",),
    )  # fmt: skip

    found = back(made, markdown=markdown)

    assert found.lines[0].say == say
    assert found.beats == beats


words = st.text(alphabet="abcdeAB'-.,!?…\"(){}[]*\\ ", min_size=1, max_size=60)


@given(words)
def test_word_places_are_as_many_as_the_words_and_in_order(text):
    text = " ".join(text.split())
    places = word_places(text)

    assert len(places) == len(read_transcript(text).words)
    assert all(a <= b for a, b in places)


def test_a_beat_that_ends_before_the_line_does_is_closed():
    made, _ = two_hander()
    beats = (Beat("teasing", "clerk", 1, (2, 3)),)

    text = ScriptWriter(True).scene(replace(made, beats=beats, cues=()))

    assert "That {teasing} is the {} third" in text
    assert back(replace(made, beats=beats, cues=()), markdown=True).beats == beats


def test_a_writers_own_simple_script_is_enough():
    script = read_script(
        "# Night\n\nINT. A KITCHEN, written as a remark\n\n"
        "cook: {tired 0.4} Not again. {amused} Ha!\n\n**waiter:** Chef?\n"
    )
    scene = scene_of_script(script, rate=RATE)

    assert scene.title == "Night"
    assert scene.characters == ("cook", "waiter")
    assert [x.sound for x in scene.lines] == ["line_01.wav", "line_02.wav"]
    assert scene.lines[1].at_s > scene.lines[0].at_s
    assert scene.beats == (Beat("tired", "cook", 1, (1, 2), None, 0.4),
                           Beat("amused", "cook", 1, (3, 3)))  # fmt: skip


def test_a_scene_from_a_script_is_a_scene_file_that_reads_back():
    scene = scene_of_script(read_script("cook: {amused} Ha!\n"), rate=RATE)

    assert parse_scene(scene_to_text(scene)).beats == scene.beats


def test_clips_say_how_long_the_lines_are():
    script = read_script("cook: Not again.\n\ncook: Ha!\n")
    clips = [StartClip("a.wav", 2.0), StartClip("b.wav", 1.0)]

    scene = scene_of_script(script, clips, rate=RATE)

    assert [x.sound for x in scene.lines] == ["a.wav", "b.wav"]
    assert 2.2 <= scene.lines[1].at_s < 2.2 + 2 / 25


def test_a_script_goes_into_a_scene_and_leaves_the_rest_alone():
    made, _ = two_hander()
    text = ScriptWriter(True).scene(made).replace("teasing 0.7", "proud 0.9")

    changed = with_script(made, read_script(text))

    assert changed.beats[0] == replace(made.beats[0], intent="proud", strength=0.9)
    assert replace(changed, beats=made.beats) == made


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "nobody speaks"),
        ("just prose\n", "nobody speaks"),
        ("\n\ncook: {teasing 7} Ha!", "script.md:3: a strength lies between 0 and 1, not 7"),
        ("cook: Ha! {teasing}", 'script.md:1: no words follow the tag "teasing"'),
        ("cook: {teasing Ha!", "script.md:1: a brace without its other half"),
        ("{teasing} Ha!", "script.md:1: a tag, but nobody is named"),
        ("cook: {visitor reacts amused} Ha!", "stands before any word"),
        ("cook (loud): Ha!", '"loud" in brackets is not understood'),
    ],
)
def test_a_mistake_is_said_with_its_line(text, said):
    with pytest.raises(SceneError) as caught:
        read_script(text)

    assert said in caught.value.line()


@given(st.text(max_size=200))
def test_whatever_is_read_gives_a_script_or_one_line(text):
    try:
        script = read_script(text)
    except SceneError as error:
        assert "\n" not in error.line()
    else:
        assert script.lines


@pytest.mark.parametrize("markdown", [True, False])
def test_a_line_without_words_and_a_part_of_a_sound_come_back(markdown):
    made, _ = two_hander()
    lines = (replace(made.lines[0], say=None, clip_s=(0.125, 123.4567)),)
    made = replace(made, lines=lines, beats=(), cues=(), characters=("clerk",))

    found = back(made, markdown=markdown)

    assert (found.lines[0].say, found.lines[0].clip_s) == (None, (0.125, 123.4567))
    assert with_script(made, read_script(ScriptWriter(markdown).scene(made))) == made


def test_other_lines_than_the_scene_has_are_refused():
    made, _ = two_hander()

    with pytest.raises(UsageError, match="other lines"):
        with_script(made, read_script("clerk: That is all.\n"))


@pytest.mark.parametrize("fact", ["at noon", "clip 2s-1s"])
def test_a_time_that_is_none_is_refused(fact):
    with pytest.raises(SceneError, match=r"script\.md:1"):
        scene_of_script(read_script(f"cook ({fact}): Ha!"), rate=RATE)
