"""The exposure sheet: a row for every frame, whatever the step."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace

import made_scenes
import pytest
from hypothesis import HealthCheck, given, settings
from made_voices import scene, voice
from shown import facts, nasty_facts, two_hander

from planner.export.exposure import Span, exposure_sheets, lanes_of, sheet_breaks
from planner.export.exposure_csv import exposure_csv
from planner.export.exposure_page import exposure_page
from planner.export.facts import shot_facts
from planner.export.plain import FORMULA_STARTS
from planner.shot import shot_of


def table(text: str) -> tuple[list[str], list[dict[str, str]]]:
    reader = csv.DictReader(io.StringIO(text.removeprefix("\ufeff"), newline=""))
    rows = list(reader)
    return list(reader.fieldnames or []), rows


@pytest.mark.parametrize("step", [1, 2, 3])
def test_there_is_a_row_for_every_frame_of_the_shot_whatever_the_step(step):
    given = facts(step=step)
    _, rows = table(exposure_csv(given))

    assert [int(r["frame"]) for r in rows] == list(range(given.frames[0], given.frames[1] + 1))


def test_on_twos_every_second_frame_is_marked_held():
    _, rows = table(exposure_csv(facts(step=2)))

    assert [r["clerk: held"] for r in rows[:4]] == ["", "held", "", "held"]
    assert all(bool(r["clerk: held"]) == bool((int(r["frame"]) - 1001) % 2) for r in rows)


def test_on_ones_nothing_is_held():
    _, rows = table(exposure_csv(facts()))

    assert not any(r["clerk: held"] for r in rows)


def test_the_columns_are_those_of_the_trade_one_set_a_character():
    header, _ = table(exposure_csv(facts()))

    assert header[:3] == ["frame", "timecode", "footage"]
    for who in ("clerk", "visitor"):
        own = [name.removeprefix(f"{who}: ") for name in header if name.startswith(f"{who}: ")]
        assert own[:8] == ["held", "action", "key poses", "dialogue", "stress", "tone",
                           "pitch_st", "beat"]  # fmt: skip
        assert own[-1] == "notes"
        assert "head" in own


def test_a_character_alone_needs_no_names_before_its_columns_but_in_a_scene_of_two():
    header, _ = table(exposure_csv(facts(who="clerk")))

    assert not any("visitor" in name for name in header)


def test_each_syllable_stands_on_the_frame_on_which_it_begins():
    given = facts()
    _, rows = table(exposure_csv(given))
    by_frame = {int(r["frame"]): r for r in rows}

    for line in given.laid.lines:
        for s in line.syllables:
            assert s.text in by_frame[s.frames[0]][f"{line.who}: dialogue"].split(" ")
        for s in line.syllables:
            if s.degree == "strong":
                assert by_frame[s.hit][f"{line.who}: stress"] in ("strong", "main")


def test_every_suggestion_stands_on_its_first_frame_and_hits_on_its_hit():
    given = facts()
    _, rows = table(exposure_csv(given))
    by_frame = {int(r["frame"]): r for r in rows}

    for s in given.plan.suggestions:
        column = f"{s.who}: {'action' if s.part == 'whole' else s.part}"
        assert s.kind in by_frame[s.frames[0]][column]
        if s.hit is not None:
            assert "hit" in by_frame[s.hit][column]


def test_timecode_and_footage_count_from_the_first_frame():
    _, rows = table(exposure_csv(facts()))

    assert (rows[0]["timecode"], rows[0]["footage"]) == ("00:00:00:00", "0+00")
    assert (rows[40]["timecode"], rows[40]["footage"]) == ("00:00:01:16", "2+08")


def test_hostile_texts_make_no_cell_that_a_spreadsheet_runs():
    text = exposure_csv(nasty_facts()).removeprefix("\ufeff")
    rows = list(csv.reader(io.StringIO(text, newline="")))

    assert len({len(row) for row in rows}) == 1
    for row in rows:
        for value in row:
            starts = value.startswith(FORMULA_STARTS)
            assert not starts or _is_number(value), value


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def test_syllables_without_text_are_not_given_one():
    made, readings = two_hander()
    made = replace(made, beats=(), cues=(), lines=tuple(replace(x, say=None) for x in made.lines))
    readings = {1: voice("That is THE one.", with_text=False), 2: readings[2]}
    _, rows = table(exposure_csv(shot_facts(shot_of(made, readings))))

    said = [r["clerk: dialogue"] for r in rows if r["clerk: dialogue"] not in ("", "|")]
    assert said == ["~"] * 4


@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
@given(made_scenes.two_handers())
def test_whatever_is_said_each_frame_has_one_row_and_each_row_all_its_cells(drawn):
    lines, readings, beats = drawn
    given_facts = shot_facts(shot_of(scene(lines, beats=beats), readings))
    text = exposure_csv(given_facts).removeprefix("\ufeff")
    rows = list(csv.reader(io.StringIO(text, newline="")))

    assert [int(r[0]) for r in rows[1:]] == list(
        range(given_facts.frames[0], given_facts.frames[1] + 1)
    )
    assert len({len(r) for r in rows}) == 1
    page = exposure_page(given_facts)
    for sheet in re.findall(r"<table>.*?</table>", page, re.DOTALL):
        columns = len(re.findall(r"<col ", sheet))
        for row in re.findall(r"<tr class.*?</tr>", sheet, re.DOTALL):
            assert len(re.findall(r"<t[dh][ >]", row)) == columns


def test_spans_that_share_a_key_share_a_lane_and_others_do_not():
    a, b, c = Span(1, 5, "a"), Span(5, 9, "b"), Span(7, 12, "c")

    assert lanes_of([a, b]) == ((a, b),)
    assert lanes_of([a, b, c]) == ((a, b), (c,))


def test_sheets_break_at_whole_feet_from_the_first_frame():
    assert sheet_breaks((1001, 1040), 16, 1001) == ((1001, 1016), (1017, 1032), (1033, 1048))
    assert sheet_breaks((993, 1001), 16, 1001) == ((985, 1000), (1001, 1016))


def test_a_part_of_the_shot_has_only_its_own_rows():
    _, rows = table(exposure_csv(facts(frames=(1010, 1020))))

    assert (rows[0]["frame"], rows[-1]["frame"]) == ("1010", "1020")


def test_the_sheet_of_each_character_holds_its_own_notes_and_those_of_all():
    clerk, visitor = exposure_sheets(facts())

    assert "soften" in clerk.notes.word(1011)
    assert clerk.notes.word(1030) == visitor.notes.word(1030) == "2 done: done already (lead)"
    assert "soften" not in visitor.notes.word(1011)
