"""What does not land: a summary, and a row a problem, in the check's own words. Pure.

The word the check files a finding under is an identifier; people read the sentence (`text`).
"""

from __future__ import annotations

from planner.desk.choice import choose
from planner.desk.choices import ProblemAt
from planner.desk.state import Desk
from planner.desk.units import shown_here
from planner.desk.views.cells import CHOSEN, Row, Run, padded
from planner.desk.views.more import with_more
from planner.desk.views.panel import Panel, Room, Seen, Spot, scrolled


def draw(desk: Desk, room: Room) -> Seen:
    """The problems in sight under their summary."""
    problems = desk.verdicts.problems
    mark = "›" if desk.panel == "problems" else " "
    rows: list[Row] = [(Run(padded(mark + summary(desk), room.width), "heading"),)]
    chosen = desk.choice.index if isinstance(desk.choice, ProblemAt) else -1
    height = max(1, room.height - 1)
    top = scrolled(desk, "problems", max(0, chosen), len(problems), height, chosen)
    for index, problem in list(enumerate(problems))[top.row : top.row + height]:
        doubt = "" if problem.certain else " (not certain)"
        at = shown_here(desk, problem.frames[0])
        text = f" {at:>6}  {problem.who}  {problem.text}{doubt}"
        role = "problem" if problem.certain else "margin"
        rows.append((Run(padded(text, room.width), role, CHOSEN if index == chosen else 0),))
    below = len(problems) - top.row - len(rows) + 1
    return Seen((rows[0], *with_more(tuple(rows[1:]), top.row, below)), top)


def summary(desk: Desk) -> str:
    """How the poses stand, in a sentence; nothing is praised that was not checked."""
    count = len(desk.verdicts.problems)
    problems = f"{count} problem{'' if count == 1 else 's'}" if count else "no problems found"
    if not desk.scene.poses:
        return f"no key poses yet, so no accents are checked; {problems}"
    return f"{desk.verdicts.summary or 'no check yet'}; {problems}"


def press(desk: Desk, seen: Seen, spot: Spot) -> Desk:
    """A problem by its row; the panel's first row is the summary."""
    index = (seen.top.row if seen.top else 0) + spot.row - 1
    if spot.drag or spot.row == 0 or index >= len(desk.verdicts.problems):
        return desk
    return choose(desk, ProblemAt(index))


def _wants(desk: Desk, room: Room) -> int:
    return len(desk.verdicts.problems) + 1


PROBLEMS = Panel("problems", ("mend",), draw, _wants, press, keys=True, least=2, keep=2, fills=True)
