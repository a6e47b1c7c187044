"""The panels from top to bottom. Each shows rows of cells; what they hold is made by `views`."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from planner.desk.panels.rows_widget import RowsWidget
from planner.desk.state import Panel


class Head(RowsWidget):
    """Scene, ways in, what is saved; where the cursor is."""


class Script(RowsWidget):
    """The phrases and their meaning."""

    panel: ClassVar[Panel | None] = "script"


class Ruler(RowsWidget):
    """Frames, timecode, seconds or feet+frames."""


class Notes(RowsWidget):
    """Notes at their frames."""

    panel: ClassVar[Panel | None] = "notes"


class Tone(RowsWidget):
    """The tone line, the frames of its stresses, the words."""

    panel: ClassVar[Panel | None] = "words"


class Beats(RowsWidget):
    """A row a character."""

    panel: ClassVar[Panel | None] = "beats"


class PlanRows(RowsWidget):
    """A row a body part."""

    panel: ClassVar[Panel | None] = "plan"


class Poses(RowsWidget):
    """Key poses with their verdicts."""

    panel: ClassVar[Panel | None] = "poses"


class Problems(RowsWidget):
    """What does not land."""

    panel: ClassVar[Panel | None] = "problems"


class Why(RowsWidget):
    """What is chosen, and why."""


class Keys(RowsWidget):
    """What the keys do here."""


PANEL_CLASSES: tuple[Callable[[], RowsWidget], ...] = (
    lambda: Head("head"), lambda: Script("script"), lambda: Ruler("ruler"),
    lambda: Notes("notes"), lambda: Tone("words"), lambda: Beats("beats"),
    lambda: PlanRows("plan"), lambda: Poses("poses"), lambda: Problems("problems"),
    lambda: Why("why"), lambda: Keys("keys"),
)  # fmt: skip
