"""What a decision of a scene file can name: each suggestion's id, with its word and frames."""

from __future__ import annotations

from audio.shown import shown_line
from planner.plan.suggestion import Plan, Suggestion


def ids_text(plan: Plan, *, who: str | None = None) -> str:
    """A row a suggestion, in the order of frames; dropped ones last. who : one character's alone.

    Rows hold frames, id, word and decision, apart by two spaces, ready for a search or a paste.
    """
    every = (*plan.suggestions, *plan.dropped)
    rows = [_row(s) for s in every if who in (None, s.who)]
    widths = [*(max((len(row[k]) for row in rows), default=0) for k in range(3)), 0]
    return "\n".join(
        shown_line("  ".join(cell.ljust(w) for cell, w in zip(row, widths, strict=True))).rstrip()
        for row in rows
    )


def _row(s: Suggestion) -> tuple[str, str, str, str]:
    word = f"word: {s.text}" if s.text else ""
    return f"{s.frames[0]}-{s.frames[1]}", s.id, word, s.decision or ""
