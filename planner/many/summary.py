"""Rows summed up: the table as CSV, and totals as text for a terminal.

A range runs from the 5th to the 95th percentile (linear between values, numpy's default), so that
one odd line does not hide what is usual.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields

from planner.export.plain import Cell, csv_text
from planner.many.rows import LineRow
from planner.many.run import ManyResult

LOW_PERCENT, HIGH_PERCENT = 5, 95
FEW_WARNINGS = 8  # kinds of warnings told on a terminal


@dataclass(frozen=True, slots=True)
class Spread:
    """How a measure lies over lines: low and high percentile, median, number of lines."""

    low: float
    median: float
    high: float
    count: int


def spread(values: Iterable[float | None]) -> Spread | None:
    """The spread of the values that are there; None if none is."""
    import numpy as np

    there = [v for v in values if v is not None]
    if not there:
        return None
    low, median, high = np.percentile(there, [LOW_PERCENT, 50, HIGH_PERCENT])
    return Spread(float(low), float(median), float(high), len(there))


OUR_TABLE = re.compile(b"(?:\xef\xbb\xbf)?" + ",".join(f.name for f in fields(LineRow)).encode())


def rows_csv(rows: Sequence[LineRow]) -> str:
    """The table: a row a line, the names of the columns with their units."""
    header = [f.name for f in fields(LineRow)]
    return csv_text(header, ([_cell(getattr(row, name)) for name in header] for row in rows))


def _cell(value: object) -> Cell:
    if isinstance(value, tuple):
        return "; ".join(value)
    return value if isinstance(value, str | int | float) else None


def heard(rows: Sequence[LineRow]) -> list[LineRow]:
    """The rows of lines that were heard."""
    return [row for row in rows if row.length_s is not None]


def measures(rows: Sequence[LineRow]) -> list[tuple[str, str, Spread]]:
    """What is told of all lines together: name, unit, spread."""
    told = (
        ("length", "s", [row.length_s for row in rows]),
        ("tempo", "syllables a second", [row.tempo_syllables_per_s for row in rows]),
        ("density", "strong stresses a second of talk", [row.strong_per_s for row in rows]),
    )
    return [(name, unit, s) for name, unit, values in told if (s := spread(values)) is not None]


def warning_counts(rows: Sequence[LineRow]) -> list[tuple[str, int]]:
    """Each warning with the number of lines that have it, the commonest first."""
    counts = Counter(warning for row in rows for warning in dict.fromkeys(row.warnings))
    return sorted(counts.items(), key=lambda entry: (-entry[1], entry[0]))


def count_of(number: int, noun: str) -> str:
    """ "1 scene", "2 scenes"."""
    return f"{number} {noun}{'' if number == 1 else 's'}"


def headline(result: ManyResult) -> str:
    """How much there was."""
    rows = heard(result.rows)
    minutes = sum(row.length_s or 0.0 for row in rows) / 60
    lines = count_of(len(rows), "line")
    files = f"{count_of(result.scenes, 'scene')} and {count_of(result.clips, 'clip')}"
    return f"{lines} in {files}, {minutes:.1f} min of sound"


def check_counts(result: ManyResult) -> tuple[int, int]:
    """Scenes whose poses were checked, and how many of them were found wanting."""
    return len({row.file for row in result.rows if row.check}), result.wanting


def summary_lines(result: ManyResult) -> list[str]:
    """The totals, a line each."""
    lines = [headline(result)]
    for name, unit, s in measures(heard(result.rows)):
        lines.append(f"{name:9} {s.low:.1f} to {s.high:.1f} {unit}, median {s.median:.1f}")
    counts = warning_counts(result.rows)
    for text, number in counts[:FEW_WARNINGS]:
        lines.append(f"warning   {count_of(number, 'line')}: {text}")
    if len(counts) > FEW_WARNINGS:
        lines.append(f"warning   and {count_of(len(counts) - FEW_WARNINGS, 'other kind')}")
    checked, wanting = check_counts(result)
    if checked:
        lines.append(f"checked   {count_of(checked, 'scene')}, {wanting} found wanting")
    if result.failed:
        lines.append(f"failed    {count_of(result.failed, 'file')}")
    return lines
