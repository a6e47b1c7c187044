"""The script with its intents, as Markdown and as plain text."""

from __future__ import annotations

from planner.export.facts import ShotFacts
from planner.export.kinds import Shown, export


@export("script", ".md", "script with intents, Markdown", order=240, usual=True)
def as_md(facts: ShotFacts, shown: Shown) -> str:
    """Script with intents, Markdown."""
    from planner.export.script import script_text

    return script_text(facts, markdown=True)


@export("script", ".txt", "script with intents, plain text", order=250, usual=True)
def as_txt(facts: ShotFacts, shown: Shown) -> str:
    """Script with intents, plain text."""
    from planner.export.script import script_text

    return script_text(facts, markdown=False)
