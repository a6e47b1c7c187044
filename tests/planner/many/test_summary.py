"""The table and the page: complete, safe to open, the same for the same rows."""

from __future__ import annotations

import csv
import io
from html.parser import HTMLParser

from hypothesis import given, settings
from hypothesis import strategies as st

from planner.many.page import summary_page
from planner.many.rows import LineRow
from planner.many.run import ManyResult
from planner.many.summary import rows_csv, spread, summary_lines

HOSTILE = ("=1+1", "+cmd|' /C calc'!A0", "-2", "@SUM(A1)", "\t=1", "\r\n=1",
           "<script>alert(1)</script>",
           "\"><img src=x onerror=alert(1)>", "\x1b[2Jx", "\u202egnp.exe", "a\x00b", "\udcff",
           "&amp;", "a,b\"c\nd", "' onmouseover='x")  # fmt: skip
TEXTS = st.one_of(st.sampled_from(HOSTILE), st.text(max_size=20))


def a_row(text: str, **more: object) -> LineRow:
    values = {"file": text, "who": text, "id": text, "said": text, "sound": text,
              "length_s": 2.0, "tempo_syllables_per_s": 5.0, "strong_per_s": 1.0,
              "strong_stresses": 2, "pauses": 0, "warnings": (text,), **more}  # fmt: skip
    return LineRow(**values)  # type: ignore[arg-type]


def result(*rows: LineRow) -> ManyResult:
    return ManyResult(rows, 0, len(rows), 0, 0)


def test_the_table_reads_back_with_its_numbers() -> None:
    rows = (a_row("a.wav", line=3, check="ok", early=0), LineRow("b.wav", problem="no sound"))

    text = rows_csv(rows)

    back = list(csv.DictReader(io.StringIO(text.removeprefix("\ufeff"), newline="")))
    assert [(r["file"], r["line"], r["length_s"], r["problem"]) for r in back] == [
        ("a.wav", "3", "2.0", ""), ("b.wav", "", "", "no sound"),
    ]  # fmt: skip
    assert back[0]["early"] == "0" and back[1]["early"] == ""


@given(st.lists(TEXTS, min_size=1, max_size=4))
@settings(max_examples=150, deadline=None)
def test_no_cell_of_the_table_is_a_formula(texts: list[str]) -> None:
    """A spreadsheet takes a cell for a formula by its first character (OWASP, CSV Injection)."""
    text = rows_csv([a_row(t, problem=t) for t in texts])

    rows = list(csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline="")))
    assert len(rows) == len(texts) + 1
    for row in rows:
        for cell in row:
            assert not cell.startswith(("=", "+", "-", "@", "\t", "\r", "\n"))
            assert not any(ord(c) < 32 or c in "\x1b\x7f\u202e" for c in cell)


class Seen(HTMLParser):
    """Which elements and attributes a page has."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes |= {name for name, _ in attrs}


OUR_TAGS = {"html", "head", "meta", "title", "style", "body", "h1", "h2", "p", "div", "figure",
            "figcaption", "svg", "rect", "b", "bdi", "ul", "li", "table", "thead", "tbody", "tr",
            "th", "td"}  # fmt: skip


@given(st.lists(TEXTS, min_size=1, max_size=4))
@settings(max_examples=100, deadline=None)
def test_nothing_from_a_file_becomes_markup(texts: list[str]) -> None:
    rows = [a_row(t, check="ok", main_accents=1, main_landed=1, early=0, late=0, findings=0)
            for t in texts]  # fmt: skip
    rows += [LineRow(t, problem=t) for t in texts]

    page = summary_page(result(*rows), texts[0])

    seen = Seen()
    seen.feed(page)
    assert set(seen.tags) <= OUR_TAGS
    assert not {a for a in seen.attributes if a.startswith("on")}
    assert seen.tags.count("tr") == len(texts) + 1
    assert "\x1b" not in page and "\u202e" not in page


def test_the_page_needs_nothing_from_outside() -> None:
    page = summary_page(result(a_row("a.wav")), "season")

    assert "http" not in page.replace("http-equiv", "")
    assert "default-src 'none'" in page


def test_odd_lines_are_marked() -> None:
    rows = [a_row(f"{n}.wav", tempo_syllables_per_s=5.0 + n / 100) for n in range(40)]
    rows.append(a_row("odd.wav", tempo_syllables_per_s=9.0))

    page = summary_page(result(*rows), "season")

    assert '<td class="odd">9.00</td>' in page
    assert '<td class="odd">5.20</td>' not in page


def test_a_spread_of_nothing_is_none_and_of_one_is_that_one() -> None:
    assert spread([None]) is None
    one = spread([3.0, None])
    assert one is not None and (one.low, one.median, one.high, one.count) == (3.0, 3.0, 3.0, 1)


def test_the_totals_say_how_much_there_was() -> None:
    lines = summary_lines(result(a_row("a.wav", warnings=()), LineRow("b.wav", problem="x")))

    assert lines[0] == "1 line in 0 scenes and 2 clips, 0.0 min of sound"
    assert lines[-1] == "failed    1 file"
