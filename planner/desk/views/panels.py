"""The table of panels, from top to bottom: a new panel is its own file and a line here."""

from __future__ import annotations

from planner.desk.state import Way
from planner.desk.views.beats import BEATS
from planner.desk.views.head import HEAD
from planner.desk.views.headline import HEADLINE
from planner.desk.views.notes import NOTES
from planner.desk.views.panel import Panel
from planner.desk.views.plan import PLAN
from planner.desk.views.poses import POSES
from planner.desk.views.problems import PROBLEMS
from planner.desk.views.ruler import RULER
from planner.desk.views.script import SCRIPT
from planner.desk.views.strip import STRIP
from planner.desk.views.tags import TAGS
from planner.desk.views.tone import TONE
from planner.desk.views.ways import WAYS
from planner.desk.views.why import WHY

PANELS: tuple[Panel, ...] = (
    HEAD, TAGS, SCRIPT, STRIP, RULER, NOTES, TONE, HEADLINE, BEATS, PLAN, POSES, PROBLEMS, WHY,
)  # fmt: skip
BY_NAME = {panel.name: panel for panel in PANELS}
# The order in which `tab` goes through a way's panels; its first has the keys at the start.
_ORDER = ("script", "poses", "words", "beats", "plan", "problems", "notes")
_FIRST: dict[Way, str] = {"mean": "script", "move": "words", "mend": "problems"}


def _panels_of(way: Way) -> tuple[str, ...]:
    names = [p.name for p in PANELS if p.keys and way in p.ways]
    return tuple(sorted(names, key=lambda n: (n != _FIRST[way], _ORDER.index(n))))


PANELS_OF: dict[Way, tuple[str, ...]] = {way: _panels_of(way) for way in WAYS}


def of_way(way: Way) -> tuple[Panel, ...]:
    """The panels of a way in, from top to bottom."""
    return tuple(panel for panel in PANELS if way in panel.ways)
