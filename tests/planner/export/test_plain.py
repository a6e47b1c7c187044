"""Texts made safe for tables, pages and pictures."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shown import NASTY

from planner.export.plain import FORMULA_STARTS, cell, csv_text, escaped, one_line, uncell


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@sum", "\uff1d1"])
def test_a_formula_in_a_cell_is_marked_as_text(text):
    assert cell(text) == "'" + text


@pytest.mark.parametrize("text", ["\t=1+1", "\r=1", " =1+1", "\u200b=1"])
def test_what_stands_before_a_formula_does_not_hide_it(text):
    assert cell(text).startswith("'=")


@given(st.text())
def test_no_cell_ever_begins_like_a_formula(text):
    assert not cell(text).startswith(FORMULA_STARTS)


@given(st.text())
def test_a_cell_gives_its_line_of_text_back(text):
    assert uncell(cell(text)) == one_line(text) or one_line(text).startswith("'")


@given(st.text())
def test_one_line_is_one_line_of_what_can_be_shown_and_stays_itself(text):
    line = one_line(text)

    assert len(line.splitlines()) <= 1
    assert one_line(line) == line
    line.encode("utf-8")


def test_emoji_with_joiners_and_right_to_left_words_stay_whole():
    for text in ("👩\u200d🚀", "שלום", "مرحبا\u200cبك"):
        assert one_line(text) == text


def test_characters_that_turn_what_follows_are_taken_out():
    assert one_line("a\u202eb\u2066c") == "abc"


def test_markup_is_escaped_in_texts_and_attributes():
    assert escaped('<a href="x">&\'') == "&lt;a href=&quot;x&quot;&gt;&amp;&#x27;"


def test_a_table_reads_back_with_the_texts_it_was_given():
    rows = [(i, text) for i, text in enumerate(NASTY)]

    text = csv_text(("number", "text"), rows)
    read = list(csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline="")))

    assert read[0] == ["number", "text"]
    assert [uncell(row[1]) for row in read[1:]] == [one_line(t) for t in NASTY]
    assert all(row[0] == str(i) for i, row in enumerate(read[1:]))
