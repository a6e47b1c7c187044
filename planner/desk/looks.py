"""How roles look: colours chosen to stay apart in 16 colours, and weights that need no colour.

A role never differs from its neighbours by colour alone: stresses are bold and underlined and have
a mark, what is chosen is reversed, what is dropped is struck through, verdicts are words.
"""

from __future__ import annotations

from functools import lru_cache

from rich.style import Style

from planner.desk.cells import CHOSEN, CURSOR, HIT, PICKED, UNDER

GROUND = "#15171c"
LIFTED = "#22262e"  # bars on top and below
COLUMN = "#38404f"  # the cursor's column
PAPER = "#e8e2d4"
GREY = "#8d9199"
AMBER = "#ffc857"
TEAL = "#5fc9b4"
SKY = "#8fbcf0"
ROSE = "#f29ca3"
RED = "#ff6b5e"
GREEN = "#8fd16f"
LILAC = "#c9a8f0"

ROLES: dict[str, Style] = {
    "plain": Style(color=PAPER),
    "none": Style(color="#b4b2aa"),
    "light": Style(color=PAPER, bold=True),
    "strong": Style(color=AMBER, bold=True, underline=True),
    "main": Style(color=AMBER, bold=True, underline=True),
    "stress mark": Style(color=AMBER, bold=True),
    "contour": Style(color="#6a707c"),
    "glide": Style(color=TEAL),
    "stem": Style(color="#9a7b35"),
    "pause": Style(color=GREY, italic=True),
    "breath": Style(color=SKY, italic=True),
    "main frame": Style(color=AMBER, bold=True),
    "stress frame": Style(color="#c49b4a"),
    "said": Style(color=PAPER),
    "label": Style(color="#b4b2aa"),
    "tick": Style(color="#6a707c"),
    "cursor label": Style(color=GROUND, bgcolor=PAPER, bold=True),
    "note": Style(color=ROSE, italic=True),
    "note done": Style(color=GREY, italic=True, strike=True),
    "beat": Style(color=LILAC),
    "beat on": Style(color=LILAC, bold=True),
    "beat edge": Style(color=AMBER, bold=True, reverse=True),
    "pose": Style(color=SKY, bold=True),
    "accent": Style(color=AMBER, bold=True),
    "plan": Style(color=PAPER),
    "quiet": Style(color="#b4b2aa"),
    "decided": Style(color=GREEN, bold=True),
    "dropped": Style(color=GREY, strike=True),
    "span": Style(color="#6a707c"),
    "name line": Style(color="#4a505c"),
    "lands": Style(color=GREEN),
    "off": Style(color=RED, bold=True),
    "free": Style(color=GREY),
    "problem": Style(color=RED),
    "remark": Style(color="#b4b2aa"),
    "gutter": Style(color=GREY),
    "gutter on": Style(color=AMBER, bold=True),
    "gutter name": Style(color=LILAC, bold=True),
    "more": Style(color=PAPER, bgcolor=COLUMN),
    "hint": Style(color=GREY, italic=True),
    "heading": Style(color=PAPER, bold=True),
    "why": Style(color=PAPER),
    "title": Style(color=PAPER, bgcolor=LIFTED, bold=True),
    "bar": Style(color=PAPER, bgcolor=LIFTED),
    "way": Style(color="#b4b2aa", bgcolor=LIFTED),
    "way on": Style(color=AMBER, bgcolor=LIFTED, bold=True),
    "state": Style(color="#b4b2aa", bgcolor=LIFTED),
    "unsaved": Style(color=AMBER, bgcolor=LIFTED, bold=True),
    "alarm": Style(color=GROUND, bgcolor=RED, bold=True),
    "where": Style(color=PAPER, bgcolor=LIFTED, bold=True),
    "here": Style(color=PAPER, bgcolor=LIFTED),
    "told": Style(color=TEAL, bgcolor=LIFTED),
    "message": Style(color=TEAL, bold=True),
    "key": Style(color=AMBER, bgcolor=LIFTED, bold=True),
    "key label": Style(color=PAPER, bgcolor=LIFTED),
}


@lru_cache(maxsize=1024)
def style_of(role: str, marks: int) -> Style:
    """The style of a role with its marks, on the desk's ground."""
    style = Style(bgcolor=GROUND) + ROLES[role]
    if marks & UNDER:
        style += Style(underline=True)
    if marks & CURSOR:
        style += Style(bgcolor=COLUMN)
    if marks & HIT:
        style += Style(bold=True, underline=True)
    if marks & (PICKED | CHOSEN):
        style += Style(reverse=True, bold=True)
    return style
