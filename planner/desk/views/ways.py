"""The three ways in, by name."""

from __future__ import annotations

from planner.desk.state import Way

WAYS: dict[Way, str] = {
    "mean": "Mean",  # the writer's: what each phrase means
    "move": "Move",  # the animator's: what moves, when, and why
    "mend": "Mend",  # the lead's: what does not land yet
}
