"""A line cut into beats to begin with: at sentences and pauses; what is heard stays a remark."""

from __future__ import annotations

from dataclasses import replace

from made_voices import voice

from audio.reading import Pause, VoiceEvent, VoiceReading
from planner.frames import FrameRate
from planner.scene.start import StartClip, scene_from_clips, start_text
from planner.scene.start_parts import parts_of
from planner.scene.text.parse import parse_scene

SAY = "I will ask her. She bakes at six and I sell at seven, mostly."


def heard(say: str = SAY) -> VoiceReading:
    reading = voice(say)
    return replace(reading, pauses=(), events=())


def after(reading: VoiceReading, word: int) -> float:
    """When a word (from 1) is over."""
    return reading.words[word - 1].end_s


def spans(reading: VoiceReading, say: str = SAY) -> list[tuple[int, int]]:
    return [part.words for part in parts_of(reading, say)]


def test_a_sentence_is_a_beat_and_a_comma_is_none() -> None:
    assert spans(heard()) == [(1, 4), (5, 14)]


def test_a_pause_cuts_where_it_leaves_three_words_on_both_sides() -> None:
    reading = heard()
    for word, cuts in ((8, True), (12, False), (13, False), (6, False)):
        end_s = after(reading, word)
        paused = replace(reading, pauses=(Pause(end_s, end_s + 0.01),))
        assert ((5, word) in spans(paused)) == cuts


def test_a_laugh_and_a_sigh_are_remarks_at_the_words_they_are_near() -> None:
    reading = heard()
    end_s, start_s = after(reading, 14), reading.words[0].start_s
    first, second = parts_of(
        replace(
            reading,
            events=(
                VoiceEvent("sigh", start_s - 0.3, start_s - 0.05, 0.9),
                VoiceEvent("laugh", end_s + 0.05, end_s + 0.5, 0.9),
                VoiceEvent("laugh", end_s + 0.6, end_s + 0.9, 0.2),
            ),
        ),
        SAY,
    )
    assert [r.split(":")[0] for r in first.remarks] == ["a sigh"]
    assert [r.split(":")[0] for r in second.remarks] == ["a laugh"]


def test_a_rise_at_the_end_may_be_a_question() -> None:
    reading = heard("She has a ticket?")
    phrase = reading.phrases[-1]
    for ending, semitones, told in (("rise", 4.0, 1), ("rise", 1.0, 0), ("fall", -4.0, 0)):
        changed = replace(phrase, ending=ending, ending_semitones=semitones)
        (part,) = parts_of(
            replace(reading, phrases=(*reading.phrases[:-1], changed)), "She has a ticket?"
        )
        assert len(part.remarks) == told


def test_the_file_has_neutral_beats_with_the_remarks_above_them() -> None:
    reading = heard()
    start_s = reading.words[0].start_s
    parts = parts_of(
        replace(reading, events=(VoiceEvent("sigh", start_s - 0.2, start_s, 0.9),)), SAY
    )
    clip = StartClip("a.wav", reading.clip.duration_s, SAY, parts)
    scene = scene_from_clips([clip], rate=FrameRate.parse("24"))
    text = start_text(scene, heard={1: parts})

    back = parse_scene(text)
    assert [(b.words, b.intent) for b in back.beats] == [((1, 4), "neutral"), ((5, 14), "neutral")]
    assert back.beats == scene.beats
    assert text.count("  # heard: ") == 1
    assert "  # heard: a sigh: tired, sad, or relieved?\n  - line: 1\n    words: 1-4" in text
    assert text.count("# 1 I  2 will") == 1


def test_a_line_whose_words_were_not_all_found_stays_one_beat() -> None:
    assert parts_of(heard(), "Other words.") == ()
