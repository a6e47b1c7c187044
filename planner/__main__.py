"""`python -m planner` is `linebeat`."""

from planner.cli import entry_point

entry_point()
