"""The summary as a page: totals, how the measures lie, and a table of all lines.

It stands alone (no network, no script); everything taken from files is escaped. A value outside
the middle nine tenths of all lines is marked, for those are the lines worth a look.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from planner.export.page import asset, html_page, isolated
from planner.export.plain import escaped
from planner.many.rows import LineRow
from planner.many.run import ManyResult
from planner.many.summary import (
    Spread,
    check_counts,
    count_of,
    headline,
    heard,
    measures,
    warning_counts,
)

BINS = 24
BAR, TALL = 9, 44  # pixels: width of a bar, height of a picture
OUR_PAGE = re.compile(rb"<!DOCTYPE html>.*Content-Security-Policy.*: lines</title>", re.DOTALL)
_FIELD = {"length": "length_s", "tempo": "tempo_syllables_per_s", "density": "strong_per_s"}
_HEADS = ("file", "line", "who", "said", "length, s", "tempo, syllables/s", "strong stresses",
          "density, 1/s", "pauses", "check", "warnings")  # fmt: skip


def summary_page(result: ManyResult, title: str) -> str:
    """The page. `title` is the folder's name, plain text."""
    rows = heard(result.rows)
    told = measures(rows)
    spreads = {name: s for name, _, s in told}
    body = [f"<h1>{isolated(title)}</h1>", f"<p>{escaped(headline(result))}</p>"]
    checked, wanting = check_counts(result)
    if checked:
        body.append(f"<p>{count_of(checked, 'scene')} checked, {wanting} found wanting</p>")
    body.append('<div class="measures">')
    body += [_measure(name, unit, s, rows) for name, unit, s in told]
    body.append("</div>")
    body += _failures(result.rows)
    body += _warnings(result.rows)
    body += _table(rows, spreads)
    return html_page(f"{title}: lines", "\n".join(body), css=asset("many.css"))


def _measure(name: str, unit: str, s: Spread, rows: Sequence[LineRow]) -> str:
    values = [v for row in rows if (v := getattr(row, _FIELD[name])) is not None]
    text = f"{s.low:.1f} to {s.high:.1f} {unit}, median {s.median:.1f}"
    return (f"<figure>{_histogram(values)}<figcaption><b>{name}</b> {escaped(text)}"
            "</figcaption></figure>")  # fmt: skip


def _histogram(values: Sequence[float]) -> str:
    """How many lines have which value, as bars from the least to the greatest."""
    least, most = min(values), max(values)
    width = (most - least) / BINS or 1.0
    counts = [0] * BINS
    for value in values:
        counts[min(BINS - 1, int((value - least) / width))] += 1
    top = max(counts)
    bars = []
    for k, count in enumerate(counts):
        tall = round(TALL * count / top, 1)
        told = f"{least + k * width:.2f}: {count_of(count, 'line')}"
        bars.append(
            f'<rect x="{k * BAR}" y="{TALL - tall:.1f}" width="{BAR - 1}" height="{tall}">'
            f"<title>{told}</title></rect>"
        )
    return (f'<svg width="{BINS * BAR}" height="{TALL}" role="img" '
            f'aria-label="{least:.2f} to {most:.2f}">{"".join(bars)}</svg>')  # fmt: skip


def _failures(rows: Sequence[LineRow]) -> list[str]:
    failed = [row for row in rows if row.problem]
    if not failed:
        return []
    told = [f"<li>{isolated(_place(row))}: {isolated(row.problem)}</li>" for row in failed]
    return ["<h2>failed</h2>", "<ul>", *told, "</ul>"]


def _place(row: LineRow) -> str:
    return row.file if row.line is None else f"{row.file}, line {row.line}"


def _warnings(rows: Sequence[LineRow]) -> list[str]:
    counts = warning_counts(rows)
    if not counts:
        return []
    told = [f"<li>{count_of(n, 'line')}: {isolated(text)}</li>" for text, n in counts]
    return ["<h2>warnings</h2>", "<ul>", *told, "</ul>"]


def _table(rows: Sequence[LineRow], spreads: dict[str, Spread]) -> list[str]:
    if not rows:
        return []
    head = "".join(f'<th scope="col">{name}</th>' for name in _HEADS)
    lines = [_row(row, spreads) for row in rows]
    return ["<h2>lines</h2>", f"<table><thead><tr>{head}</tr></thead><tbody>", *lines,
            "</tbody></table>"]  # fmt: skip


def _row(row: LineRow, spreads: dict[str, Spread]) -> str:
    cells = [
        f"<td>{isolated(row.file)}</td>", f"<td>{'' if row.line is None else row.line}</td>",
        f"<td>{isolated(row.who)}</td>", f"<td>{isolated(row.said)}</td>",
        _number(row.length_s, spreads.get("length")),
        _number(row.tempo_syllables_per_s, spreads.get("tempo")),
        f"<td>{row.strong_stresses}</td>",
        _number(row.strong_per_s, spreads.get("density")),
        f"<td>{row.pauses}</td>", f"<td>{escaped(_check(row))}</td>",
        f"<td>{isolated('; '.join(row.warnings))}</td>",
    ]  # fmt: skip
    return f"<tr>{''.join(cells)}</tr>"


def _number(value: float | None, usual: Spread | None) -> str:
    if value is None:
        return "<td></td>"
    odd = usual is not None and not usual.low <= value <= usual.high
    return f'<td class="odd">{value:.2f}</td>' if odd else f"<td>{value:.2f}</td>"


def _check(row: LineRow) -> str:
    if not row.check:
        return ""
    told = [f"{row.main_landed} of {row.main_accents} main accents land"]
    if row.early or row.late:
        told.append(f"{row.early} early, {row.late} late")
    if row.findings:
        told.append(count_of(row.findings, "finding"))
    return f"{row.check}: {', '.join(told)}"
