"""The exposure sheet as a PDF: every row on paper, the right paper, the same bytes each time."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys

import pytest
from shown import facts, nasty_facts

from audio.errors import OutputError
from planner.export.exposure_page import exposure_page
from planner.export.exposure_print import exposure_pdf
from planner.export.pdf_pages import cut_to_mm, text_width_mm, wrapped


@pytest.mark.parametrize(("paper", "size"), [("A4", (595, 842)), ("Letter", (612, 792))])
def test_a_page_a_sheet_on_its_paper(paper, size):
    """595 x 842 and 612 x 792 points: ISO 216 A4 and Letter, as PDF's own examples give them."""
    given = facts(who="clerk")

    data = exposure_pdf(given, paper=paper)

    boxes = re.findall(rb"/MediaBox \[ 0 0 ([0-9.]+) ([0-9.]+) \]", data)
    assert len(boxes) == exposure_page(given, paper=paper).count("<section>") + 1
    for wide, high in boxes:
        assert sorted((float(wide), float(high))) == pytest.approx(sorted(size), abs=1.0)


def test_the_same_bytes_twice():
    assert exposure_pdf(facts()) == exposure_pdf(facts())
    assert exposure_pdf(nasty_facts()) == exposure_pdf(nasty_facts())


@pytest.mark.parametrize("rows", [None, 24])
def test_no_row_is_lost(tmp_path, rows):
    """Read by poppler's pdftotext: every frame number is on paper, once a character."""
    reader = shutil.which("pdftotext")
    if reader is None:
        pytest.skip("no pdftotext on this machine")
    given = facts()
    (tmp_path / "x.pdf").write_bytes(exposure_pdf(given, rows=rows))

    text = subprocess.run(
        [reader, "-layout", "x.pdf", "-"], cwd=tmp_path, capture_output=True, check=True, text=True
    ).stdout

    assert text.count("\f") == exposure_page(given, rows=rows).count("<section>") + 1
    for frame in range(given.frames[0], given.frames[1] + 1):
        assert len(re.findall(rf"\b{frame}\b", text)) >= 2


def test_lines_are_no_wider_than_their_room():
    text = "an anticipation of incomprehensibilities, and back"
    for room in (5.0, 9.0, 30.0):
        lines = wrapped(text, room, 7.0)
        assert all(text_width_mm(line, 7.0) <= room for line in lines)
        assert "".join(lines).replace(" ", "") == text.replace(" ", "")
        assert text_width_mm(cut_to_mm(text, room, 7.0), 7.0) <= room


def test_without_the_library_it_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "reportlab.pdfgen.canvas", None)

    with pytest.raises(OutputError, match="needs reportlab") as raised:
        exposure_pdf(facts())

    assert "linebeat[picture]" in str(raised.value)
