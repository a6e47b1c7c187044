"""The tone line's drawing: words where they belong, none on another, SVG that is XML."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from itertools import pairwise

import pytest
from shown import MARKUP, facts, nasty_facts

from planner.export.drawing import Label, Stroke, cut_to, text_width
from planner.export.tone import GUTTER, WIDTH, row_breaks, tone_drawings, tone_strip
from planner.export.tone_svg import svg_text


def labels(given):
    return [i for d in tone_drawings(given) for i in d.items if isinstance(i, Label)]


def test_every_syllable_is_drawn_once():
    given = facts(line="1")
    texts = [label.text for label in labels(given)]

    for s in given.laid.lines[0].syllables:
        assert texts.count(s.text) >= 1


def test_a_syllable_stands_at_its_frame_and_higher_pitch_stands_higher():
    given = facts(line="1")
    line = given.laid.lines[0]
    drawn = {label.text: label for label in labels(given) if label.halo}
    high = max(line.syllables, key=lambda s: s.semitones)
    low = min(line.syllables, key=lambda s: s.semitones)

    assert drawn[high.text].y < drawn[low.text].y
    xs = [drawn[s.text].x for s in line.syllables if s.text in drawn]
    assert xs == sorted(xs)


def test_a_main_stress_is_larger_and_bolder_than_any_other():
    given = facts(line="1")
    drawn = {label.text: label for label in labels(given) if label.halo}
    main = next(s for s in given.laid.lines[0].syllables if s.main)

    assert drawn[main.text].weight == "bold"
    assert drawn[main.text].size == max(label.size for label in drawn.values())


def test_syllables_do_not_lie_on_one_another():
    for given in (facts(), facts(line="2"), nasty_facts()):
        for drawing in tone_drawings(given):
            boxes = [_box(i) for i in drawing.items if isinstance(i, Label) and i.halo]
            for i, a in enumerate(boxes):
                for b in boxes[i + 1 :]:
                    apart = a[0] >= b[2] or b[0] >= a[2] or a[1] >= b[3] or b[1] >= a[3]
                    assert apart


def _box(label: Label) -> tuple[float, float, float, float]:
    width = text_width(label.text, label.size, label.weight)
    left = label.x - (width / 2 if label.anchor == "middle" else 0)
    return (left, label.y - 0.7 * label.size, left + width, label.y + 0.2 * label.size)


def test_the_words_of_a_plan_row_do_not_touch():
    for drawing in tone_drawings(facts()):
        by_row: dict[float, list[Label]] = {}
        for i in drawing.items:
            if isinstance(i, Label) and i.x >= GUTTER and i.size == 13.5 and i.anchor == "start":
                by_row.setdefault(i.y, []).append(i)
        for row in by_row.values():
            row.sort(key=lambda label: label.x)
            for a, b in pairwise(row):
                assert a.x + text_width(a.text, a.size, a.weight) <= b.x + 0.5


def test_everything_lies_on_the_paper_and_no_word_is_smaller_than_six_points_on_a4():
    for drawing in tone_drawings(nasty_facts()):
        assert drawing.width == WIDTH
        for i in drawing.items:
            if isinstance(i, Label):
                assert 0 <= i.y <= drawing.height
                assert i.size * 277 / WIDTH * 72 / 25.4 > 6  # A4 across, margins off
                assert i.size >= 13  # px at the picture's own width


def test_every_stroke_is_there_on_white_paper_without_colour():
    """The insides of a figure's limbs are paper: each lies on a wider dark one."""
    for drawing in tone_drawings(facts()):
        widest: dict[object, float] = {}
        for i in drawing.items:
            if isinstance(i, Stroke):
                inside = i.width < widest.get(i.points, 0.0)
                widest[i.points] = max(i.width, widest.get(i.points, 0.0))
                if inside:
                    continue
            assert i.ink.startswith("#")
            red, green, blue = (int(i.ink[k : k + 2], 16) for k in (1, 3, 5))
            assert 0.2126 * red + 0.7152 * green + 0.0722 * blue < 205


def test_rows_cover_the_shot_without_gaps():
    given = facts()
    rows = row_breaks(given, 60)

    assert rows[0][0] == given.frames[0]
    assert rows[-1][1] == given.frames[1]
    assert all(a[1] + 1 == b[0] for a, b in pairwise(rows))
    assert all(b - a + 1 <= 60 for a, b in rows)


@pytest.mark.parametrize("given", [facts, nasty_facts])
def test_the_svg_is_well_formed_and_holds_no_script_or_address(given):
    root = ET.fromstring(svg_text(tone_drawings(given()), title=MARKUP))

    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    assert (root.attrib["width"], root.find("{*}title").text) == ("1600", MARKUP)
    for element in root.iter():
        name = element.tag.split("}")[1]
        assert name in ("svg", "g", "title", "rect", "text", "polyline", "polygon")
        assert not any(k.startswith("on") or "href" in k or k == "style" for k in element.attrib)


def test_hostile_words_are_texts_of_the_picture():
    root = ET.fromstring(svg_text(tone_drawings(nasty_facts()), title="x"))

    assert any("<script>" in (t.text or "") for t in root.iter("{http://www.w3.org/2000/svg}text"))


def test_the_strip_for_a_screen_is_as_wide_as_its_frames():
    given = facts()
    names, strip = tone_strip(given, 16.0)

    assert strip.width == 16.0 * (given.frames[1] - given.frames[0] + 1)
    assert names.height == strip.height
    assert {i.text for i in names.items if isinstance(i, Label)} >= {"beats", "head", "clerk"}


def test_a_text_is_cut_only_where_it_has_no_room():
    assert cut_to("third", 200, 14) == "third"
    assert cut_to("third of all umbrellas", 60, 14).endswith("…")
    assert text_width(cut_to("third of all umbrellas", 60, 14), 14) <= 60
