"""A scene file is read into plain data, and every mistake is said in one line with its place."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from scene_texts import EXAMPLE, SMALL, said

from audio.errors import SceneError
from planner.scene_file import check_scene, parse_scene, read_scene


def changed(old: str, new: str) -> str:
    """The example with one thing changed."""
    assert EXAMPLE.count(old) >= 1
    return EXAMPLE.replace(old, new, 1)


def test_every_section_is_read() -> None:
    scene = parse_scene(EXAMPLE)
    line, beat = scene.lines[0], scene.beats[0]

    assert (scene.title, scene.rate.frames_per_s) == ("The Lost Umbrella", Fraction(24))
    assert (scene.clock.first_frame, scene.clock.step, scene.shot) == (1001, 2, (1001, 1120))
    assert (scene.characters, scene.stage["visitor"]) == (("clerk", "visitor"), "right")
    assert (line.id, line.who, line.at_s, line.clip_s) == ("third", "clerk", 0.0, (0.0, 2.4))
    assert line.heard.stress == (4,)
    assert dict(line.heard.words_s) == {3: (1.24, 1.51)}
    assert dict(line.sounds_like) == {"Tobin": "T OW1 B IH0 N"}
    assert (beat.line, beat.words, beat.intent, beat.strength) == (1, (1, 4), "teasing", 0.7)
    assert (scene.cues[0].line, scene.cues[0].word, scene.cues[0].who) == (1, 4, "visitor")
    assert dict(scene.intents["impressing"]) == {"based_on": "proud", "lead": "chest"}
    assert (scene.planted[0].part, scene.planted[0].frames) == ("left hand", (1001, 1060))
    assert [(d.do, d.by, d.word) for d in scene.decisions] == [
        ("move", -1, "third"), ("add", None, "week")]  # fmt: skip
    assert (scene.poses[0].frame, scene.poses[0].name) == (1011, "chin down")
    assert scene.tracks["pt_07"].part == "head"
    assert scene.tolerance["body"] == (-6, 1)
    assert scene.passes.done[1] == ("body",)
    assert (scene.notes[0].frames, scene.notes[0].done) == ((1011, 1016), False)


def test_entries_know_their_line_of_the_file() -> None:
    scene = parse_scene(EXAMPLE, file="a/scene.yaml")
    rows = EXAMPLE.splitlines()

    assert rows[scene.places["lines/1"] - 1].startswith("  - id: third")
    assert rows[scene.places["beats/0"] - 1] == "  - line: 1"
    assert rows[scene.places["decisions/1"] - 1].startswith("  - {of: accent/head/1/w6s1")
    assert rows[scene.places["cues/0"] - 1].startswith("  - {who: visitor")
    assert scene.where("cues/0") == f"a/scene.yaml:{scene.places['cues/0']}"


@pytest.mark.parametrize("word", ["No", "yes", "null", "~", "1:30", "1e3", "0x10", "2001-01-01"])
def test_what_is_said_is_text_whatever_yaml_makes_of_it(word: str) -> None:
    """YAML 1.1 reads these as booleans, base-60 numbers, dates... a transcript does not."""
    scene = parse_scene(SMALL.replace("good night", word))

    assert scene.lines[0].say == word


def test_a_scene_needs_little() -> None:
    scene = parse_scene(SMALL)

    assert (scene.clock.first_frame, scene.clock.step, scene.handles) == (1, 1, 0)
    assert (scene.lines[0].id, scene.shot, scene.beats) == ("1", None, ())


def test_empty_sections_are_empty_lists() -> None:
    assert parse_scene(SMALL + "beats:\nnotes:   # none yet\nstage:\n").beats == ()


def test_who_may_be_left_out_where_one_character_plays() -> None:
    scene = parse_scene(SMALL + "poses: [{frame: 3, part: head}]\n")

    assert scene.poses[0].who == "clerk"


def test_a_line_begins_on_a_frame_or_at_seconds() -> None:
    by_seconds = parse_scene(SMALL.replace("at: 1,", "at: 0.5s,")).lines[0]
    by_frame = parse_scene(SMALL.replace("at: 1,", "at: 13,")).lines[0]

    assert by_seconds.at_s == by_frame.at_s == 0.5


def test_a_line_is_named_by_number_or_id() -> None:
    scene = parse_scene(changed("hears: 1/4", "hears: third/4"))

    assert scene.cues[0].line == 1


def test_a_listeners_beat_may_lie_on_anothers_line() -> None:
    text = EXAMPLE + "\n"
    text = text.replace("cues: ", "  - {line: 1, who: visitor, intent: amused}\ncues: ", 1)

    assert parse_scene(text).beats[1].who == "visitor"


# The mistakes: what is changed in the example, and the whole line the user sees.
KNOWN_BEAT = "(known: line, words, frames, who, intent, strength, toward, note, said, play)"
MISTAKES = [
    ("rate: 24", "rate: 23",
     'scene.yaml:4: unknown rate "23" (known: 12, 23.976, 24, 25, 29.97, 29.97df, 30, 48, 50, '
     "59.94, 59.94df, 60 or N/D); write one of these, such as rate: 24"),
    ("at: 1001 ", "at: 1:30 ",
     'scene.yaml:15: at of line 1: "1:30" is not a frame; a clock time is no frame; write a frame '
     "such as 1001, or seconds such as 1.5s"),
    ("at: 1001 ", "at: 99999999999 ",
     "scene.yaml:15: at of line 1 is 99999999999, out of range; frames run from -9999999 to "
     "9999999"),
    ("linebeat: 1\n", "",
     "scene.yaml:2: the scene has no linebeat; add linebeat: 1"),
    ("    intent: teasing", "    intent teasing",
     "scene.yaml:23: not readable as YAML: could not find expected ':'; write each entry as "
     "key: value"),
    ("title: ", "title ",
     "scene.yaml:3: not readable as YAML: could not find expected ':'; write each entry as "
     "key: value"),
    ("say: That is", "say: That # is",
     "scene.yaml:18: heard of line 1 names word 4, but line 1 has 1 word; name word 1; # begins a "
     "remark in YAML, so put the say in quotes if it is said"),
    ("at: 1001 ", "at: 1e3 ",
     'scene.yaml:15: at of line 1: "1e3" is not a frame; write a frame such as 1001'),
    ("at: 1001 ", "at: 2.5 ",
     'scene.yaml:15: at of line 1: "2.5" is not a frame; write a whole frame such as 1001, or 2.5s '
     "if seconds are meant"),
    ("at: 1001 ", "at: 990 ",
     "scene.yaml:15: at of line 1 is frame 990, before the scene's first frame 1001; write 1001 or "
     "later, or lower first_frame"),
    ("intent: teasing", "intnt: teasing",
     f'scene.yaml:23: unknown key "intnt" of beat 1; did you mean "intent"? {KNOWN_BEAT}'),
    ("words: 1-4 ", "words: 5-9 ",
     "scene.yaml:22: beat 1 names word 9, but line 1 has 7 words; name words from 1 to 7"),
    ("words: 1-4 ", "words: 4-1 ",
     "scene.yaml:22: words of beat 1 ends before it begins (4-1); write 1-4"),
    ("words: 1-4 ", "words: one ",
     'scene.yaml:22: words of beat 1: "one" is not a range of words; write it as 1-4'),
    ("who: clerk\n", "who: clark\n",
     'scene.yaml:12: unknown character "clark"; did you mean "clerk"? (known: clerk, visitor)'),
    ("strength: 0.7", "strength: 70%",
     'scene.yaml:24: strength of beat 1: "70%" is not a number; write one such as 0.7'),
    ("strength: 0.7", "strength: 1.7",
     "scene.yaml:24: strength of beat 1 is 1.7, outside 0 to 1; write one such as 0.7"),
    ("[-4, 1]", "[1, -4]",
     "scene.yaml:38: head of tolerance is not two frames, the earlier first; write it as [-4, 1]"),
    ("hears: 1/4", "hears: 1/9",
     "scene.yaml:28: cue 1 names word 9, but line 1 has 7 words; name words from 1 to 7"),
    ("hears: 1/4", "hears: 2/1",
     "scene.yaml:28: hears of cue 1: there is no line 2; the scene has 1 line"),
    ("hears: 1/4", "hears: 4",
     'scene.yaml:28: hears of cue 1: "4" is not line/word; write it as 1/4: line 1, its word 4'),
    ("1: [body]", "1: [bodi]",
     'scene.yaml:39: unknown pass "bodi"; did you mean "body"? (known: body, arcs, offsets, hands, '
     "eyes, mouth)"),
    ("shot: 1001-1120", "shot: 1120-1001",
     "scene.yaml:7: shot ends before it begins (1120-1001); write 1001-1120"),
    ("visitor: right", "visitor: rihgt",
     'scene.yaml:9: unknown side "rihgt"; did you mean "right"? (known: left, right, center)'),
    ("do: add", "do: ad",
     'scene.yaml:34: unknown decision "ad"; did you mean "add"? (known: keep, move, length, drop, '
     "lock, add)"),
    ("by: -1}", "step: 2}",
     "scene.yaml:33: decision 1 moves, but not by how much; add by: -1 (frames)"),
    ("unstress: [2]", "unstress: [4]",
     "scene.yaml:18: word 4 of line 1 is heard both stressed and unstressed; keep one of the two"),
    ("1.24s-1.51s", "1.24-1.51",
     'scene.yaml:18: 3 of words of heard of line 1: "1.24-1.51" is not a stretch of seconds; write '
     "it as 0.0s-2.4s"),
    ("1.24s-1.51s", "1.24s-2.51s",
     "scene.yaml:18: word 3 of line 1 ends at 2.51s, after the line (2.4s); count from the "
     "beginning of its clip"),
    ("T OW1 B IH0 N", "T OW1 Q",
     'scene.yaml:17: sounds_like of "Tobin": "Q" is no ARPAbet phone; write phones like T OW1 B '
     "IH0 N"),
    ("step: 2 ", "step: 0 ",
     "scene.yaml:6: step is 0; give a whole number from 1 to 12"),
    ("done: false", "done: maybe",
     'scene.yaml:41: done of note 1: "maybe" is not yes or no; write true or false'),
    ("linebeat: 1", "linebeat: 2",
     "scene.yaml:2: the file is of version 2; this linebeat reads version 1; write linebeat: 1, or "
     "install a newer linebeat"),
    ("id: third", "id: first/third",
     'scene.yaml:11: id of line 1: "first/third" has a slash or a space; write an id such as third '
     "or only-one"),
    ("id: third", "id: 7",
     'scene.yaml:11: id of line 1: "7" reads as the number of another line; use a word as id, or '
     "leave it out"),
    ("beats: ", "step: 3\nbeats: ",
     'scene.yaml:19: "step" is given twice; keep one of the two (the first is on line 6)'),
    ("sound: clerk_01.flac", "sound: ",
     "scene.yaml:11: line 1 has no sound; add sound:"),
    ("say: That", "say: No: That",
     "scene.yaml:16: not readable as YAML: mapping values are not allowed in this context; put a "
     'text that contains ": " in quotes'),
    ("  - line: 1", "\t- line: 1",
     "scene.yaml:21: not readable as YAML: a tab in the indentation; indent with spaces"),
    ("title: The", "title: &a The",
     "scene.yaml:3: anchors and aliases (& and *) are not used in a scene; put a text that begins "
     "with & or * in quotes"),
    ("title: The", "title: !!python/object/apply:os.system The",
     "scene.yaml:3: tags (!) are not used in a scene; put a text that begins with ! in quotes"),
    ("characters: [clerk, visitor]", "characters: [clerk, clerk]",
     'scene.yaml:8: the character "clerk" is named twice; name each once'),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "expected"), MISTAKES, ids=[m[1][:30] for m in MISTAKES])
def test_a_mistake_is_one_line_with_its_place_and_mend(old: str, new: str, expected: str) -> None:
    assert said(changed(old, new)) == expected


def test_an_unknown_intent_names_the_nearest() -> None:
    line = said(changed("intent: teasing", "intent: teazing"))

    assert line.startswith(
        'scene.yaml:23: unknown intent "teazing"; did you mean "teasing"? (known'
    )


def test_a_scenes_own_intent_is_known() -> None:
    scene = parse_scene(changed("intent: teasing", "intent: impressing"))

    assert scene.beats[0].intent == "impressing"


def test_beats_of_one_character_may_not_overlap() -> None:
    text = changed("cues: ", "  - {line: 1, words: 4-5, intent: amused}\ncues: ")

    assert said(text) == (
        "scene.yaml:27: beats 1 and 2 of clerk share word 4; a character plays one beat at a time; "
        "end one before the other begins"
    )


def test_a_beat_of_a_whole_line_overlaps_every_other_on_it() -> None:
    text = changed("cues: ", "  - {line: 1, intent: amused}\ncues: ")

    assert "beats 1 and 2 of clerk share word 1" in said(text)


def test_beats_on_frames_are_compared_too() -> None:
    text = SMALL + (
        "beats:\n  - {frames: 1-10, intent: amused}\n  - {frames: 10-20, intent: amused}\n"
    )

    assert said(text).startswith("scene.yaml:8: beats 1 and 2 of clerk share frame 10;")


def test_a_beat_may_not_leave_the_shot_but_for_the_handles() -> None:
    text = changed("words: 1-4  ", "frames: 1100-1126  ")

    assert said(text) == (
        "scene.yaml:22: beat 1 ends on frame 1126, after the shot (1001-1120); end it at 1120 or "
        "lengthen the shot"
    )
    assert parse_scene(text + "handles: 8\n").beats[0].frames == (1100, 1126)


def test_two_lines_may_not_share_an_id() -> None:
    line = "  - {id: third, who: clerk, sound: b.wav, at: 1101}\n"

    assert said(changed("beats: ", line + "beats: ")) == (
        'scene.yaml:19: lines 1 and 2 have the same id "third"; give each its own'
    )


def test_an_edited_scene_can_be_checked_before_it_is_saved() -> None:
    from dataclasses import replace

    scene = parse_scene(EXAMPLE)
    twice = replace(scene, beats=(*scene.beats, scene.beats[0]))

    with pytest.raises(SceneError, match="beats 1 and 2 of clerk share word 1"):
        check_scene(twice)


def test_the_bundled_scenes_can_be_read(demo_scenes: Path) -> None:
    paths = sorted(demo_scenes.glob("*/scene.yaml"))

    assert paths
    for path in paths:
        assert read_scene(path).lines
