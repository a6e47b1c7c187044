"""Pages that stand alone: their policy, their texts, their sheets. Chromium opens them in
tests/references/test_exports.py."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from html.parser import HTMLParser

import pytest
from shown import HEBREW, MARKUP, facts, nasty_facts

from planner.export.exposure_page import exposure_page
from planner.export.review_page import review_page

VOID = {"meta", "br", "input", "col", "link", "hr", "img"}


class Strict(HTMLParser):
    """Collects tags and refuses ones that are not closed in order."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.texts: list[str] = []
        self.feed(page)
        self.close()
        assert not self.open

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.texts.append(data)


def pages():
    return {
        "exposure": exposure_page(nasty_facts()),
        "review": review_page(nasty_facts(), sound_uri="data:audio/flac;base64,AA=="),
    }


@pytest.fixture(scope="module", params=("exposure", "review"))
def page(request):
    return pages()[request.param]


def test_every_tag_is_closed(page):
    Strict(page)


def test_hostile_texts_stay_texts(page):
    parsed = Strict(page)

    assert MARKUP.split("&")[0].strip() in "".join(parsed.texts)
    assert sum(tag == "script" for tag, _ in parsed.tags) <= 3  # ours, our words and figures
    assert HEBREW in "".join(parsed.texts)
    assert "\u202e" not in page


def test_nothing_is_loaded_and_no_style_or_script_hides_in_an_attribute(page):
    for tag, attributes in Strict(page).tags:
        assert tag not in ("link", "iframe", "object", "embed", "base", "form")
        for name, value in attributes.items():
            assert name != "style"
            assert not name.startswith("on")
            if name in ("src", "href"):
                assert (value or "").startswith(("data:", "#"))
    assert "http://" not in page.replace("http://www.w3.org", "")
    assert "https://" not in page


def test_the_policy_lets_in_exactly_the_pages_own_style_and_script(page):
    policy = re.search(r'Content-Security-Policy" content="([^"]*)"', page)[1]
    style = re.search(r"<style>(.*?)</style>", page, re.DOTALL)[1]
    script = re.search(r"<script>(.*?)</script>", page, re.DOTALL)

    assert policy.startswith("default-src 'none';")
    assert f"style-src '{_hash(style)}'" in policy
    assert (f"script-src '{_hash(script[1])}'" if script else "script-src 'none'") in policy
    assert "unsafe" not in policy


def _hash(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def test_the_words_for_the_script_cannot_end_their_block():
    page = review_page(nasty_facts())
    block = re.search(r'id="words">(.*?)</script>', page, re.DOTALL)[1]

    words = json.loads(block)

    assert any("alert" in w["text"] for w in words)
    assert "<" not in block


@pytest.mark.parametrize("rows", [16, 24, 48])
def test_every_frame_has_its_row_on_a_sheet_of_each_character(rows):
    given = facts()
    page = exposure_page(given, rows=rows)
    frames = [int(n) for n in re.findall(r'<th scope="row">(\d+)</th>', page)]

    shot = list(range(given.frames[0], given.frames[1] + 1))
    assert frames == shot * 2
    assert page.count("<section>") == 2 * -(-len(shot) // rows)


def test_a_held_frame_says_so_in_its_row():
    page = exposure_page(facts(step=2, frames=(1001, 1004), who="clerk"))
    rows = re.findall(r'<tr class="[^"]*">(?:(?!</tr>).)*</tr>', page, re.DOTALL)
    shown = [row for row in rows if re.search(r'<th scope="row">\d', row)]

    assert [">held<" in row for row in shown] == [False, True, False, True]


@pytest.mark.parametrize(
    ("show", "first"), [("feet", "0+00"), ("timecode", "00:00:00:00"), ("seconds", "0.00 s")]
)
def test_beside_the_frame_stands_what_was_asked_for(show, first):
    assert f"<th>{first}</th>" in exposure_page(facts(), show=show)


def test_every_row_of_a_sheet_has_as_many_cells_as_the_head():
    page = exposure_page(facts(step=2))
    for table in re.findall(r"<table>.*?</table>", page, re.DOTALL):
        columns = len(re.findall(r"<col ", table))
        head = re.search(r"<thead>.*?</thead>", table, re.DOTALL)[0]
        assert sum(int(n) for n in re.findall(r'colspan="(\d+)"', head)) == columns
        for row in re.findall(r"<tr class.*?</tr>", table, re.DOTALL):
            assert len(re.findall(r"<t[dh][ >]", row)) == columns


def test_the_review_page_lists_every_suggestion_finding_and_note():
    given = facts()
    page = review_page(given)

    assert page.count('<li data-first=') == (
        len(given.plan.suggestions) + len(given.check.poses) + len(given.check.findings)
        + sum(s.main for s in given.check.missed) + len(given.notes)
    )  # fmt: skip
    assert "no tracks were given" in page


def test_without_its_sound_the_page_says_why():
    page = review_page(facts(), quiet="no sound: gone")

    assert "no sound: gone" in page
    assert "<audio" not in page
