"""How roles look: a dark and a light set of colours, one of sixteen colours, and one of none.

A role never differs from its neighbours by colour alone: stresses have a mark, blocks have words,
what is chosen is reversed, what is dropped is struck through, verdicts are words. Roles that begin
with "tint" carry a number for the intent and a depth for its strength; "block" and "hit" a kind.
"""

from __future__ import annotations

import colorsys
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from rich.style import Style

from planner.desk.views.cells import CHOSEN, CURSOR, HIT, NEXT, PICKED, SAID, UNDER

DEPTHS = 5  # steps of strength that a tint shows
HUES = 12  # intents told apart by hue; beyond that hues come again


@dataclass(frozen=True, slots=True)
class Palette:
    """The colours of a look, by what they are for; "" leaves the terminal's own."""

    ground: str
    lifted: str  # bars, and the panel that has the keys
    column: str  # the cursor's column
    paper: str
    soft: str
    grey: str
    faint: str
    amber: str
    teal: str
    sky: str
    rose: str
    red: str
    green: str
    lilac: str
    blocks: tuple[str, str, str, str]  # pose, accent, gesture and other moves, quiet ones
    on_block: str
    on_hit: str


DARK = Palette(
    "#15171c", "#1d2027", "#38404f", "#e8e2d4", "#b4b2aa", "#8d9199", "#6a707c", "#ffc857",
    "#5fc9b4", "#8fbcf0", "#f29ca3", "#ff6b5e", "#8fd16f", "#c9a8f0",
    ("#2f4d70", "#6a5120", "#2f5a52", "#33373f"), "#f1ece0", "#15171c",
)  # fmt: skip
LIGHT = Palette(
    "#faf7f0", "#eee9dd", "#d5dbe6", "#22242a", "#4a4c52", "#6d7078", "#9a9da5", "#8a5a00",
    "#00685a", "#1f5fa8", "#a8324a", "#b3261e", "#2c6e12", "#6a3fa8",
    ("#bcd3ee", "#f0d9a0", "#bfe0d8", "#e0ddd4"), "#22242a", "#faf7f0",
)  # fmt: skip
SIXTEEN = Palette(
    "default", "default", "bright_black", "default", "white", "white", "bright_black",
    "bright_yellow", "bright_cyan", "bright_blue", "bright_magenta", "bright_red", "bright_green",
    "bright_magenta", ("blue", "yellow", "cyan", "bright_black"), "bright_white", "black",
)  # fmt: skip
NAMES = ("dark", "light", "sixteen", "plain")
SIXTEEN_TINTS = ("cyan", "yellow", "magenta", "green", "blue", "red")
BLOCK_OF = {
    "pose": 0, "weight-shift": 0, "accent": 1, "anticipation": 1, "laugh": 1, "reaction": 1,
    "hold": 3, "settle": 3, "breath": 3, "blink": 3,
}  # fmt: skip


class Look:
    """Styles by role and marks. `name` is one of NAMES; `lit` is the panel that has the keys."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.palette = {"light": LIGHT, "sixteen": SIXTEEN}.get(name, DARK)
        self._roles = _plain_roles() if name == "plain" else _roles(self.palette, name)
        self.style = lru_cache(maxsize=4096)(self._style)

    def _style(self, role: str, marks: int, lit: bool = False) -> Style:
        plain = self.name == "plain"
        colours = self.palette
        style = Style() if plain else Style(bgcolor=colours.lifted if lit else colours.ground)
        style += self._roles.get(role) or self._made(role)
        if marks & NEXT and not plain and role.startswith("block"):
            style += Style(bgcolor=self._darker(role))
        if marks & UNDER:
            style += Style(underline=True)
        if marks & CURSOR and not plain and not role.startswith(("block", "hit")):
            style += Style(bgcolor=colours.column)
        if marks & CURSOR and (plain or role.startswith("block")):
            style += Style(underline=True)
        if marks & HIT:
            style += Style(bold=True, underline=True)
        if marks & SAID:
            style += Style(bold=True, underline=True)
        if marks & (PICKED | CHOSEN):
            style += Style(reverse=not style.reverse, bold=True)
        return style

    def _made(self, role: str) -> Style:
        """The style of a role that carries a number or a kind."""
        kind, _, rest = role.partition(" ")
        if self.name == "plain":
            mono = {"block": Style(reverse=True), "hit": Style(bold=True, underline=True)}
            return mono.get(kind, Style())
        if kind == "tint":
            hue, depth = (int(part) for part in rest.split())
            return self._tint(hue, depth)
        colours = self.palette
        colour = colours.blocks[BLOCK_OF.get(rest, 2)]
        if kind == "block":
            return Style(color=colours.on_block, bgcolor=colour)
        bright = (colours.sky, colours.amber, colours.teal, colours.grey)[BLOCK_OF.get(rest, 2)]
        if kind == "hit":
            return Style(color=colours.on_hit, bgcolor=bright, bold=True)
        return Style(color=bright)  # "after": words that go on beyond their block

    def _tint(self, hue: int, depth: int) -> Style:
        if self.name == "sixteen":
            colour = SIXTEEN_TINTS[hue % len(SIXTEEN_TINTS)]
            return Style(color=f"bright_{colour}" if depth > 2 else colour, bold=depth > 3)
        light = self.name == "light"
        share = (depth + 1) / DEPTHS
        saturation, lightness = (0.75, 0.32) if light else (0.85, 0.74)
        red, green, blue = colorsys.hls_to_rgb(
            (hue * 0.618 + 0.02) % 1.0, lightness, saturation * (0.25 + 0.75 * share)
        )
        return Style(
            color=f"#{round(red * 255):02x}{round(green * 255):02x}{round(blue * 255):02x}",
            bold=depth >= DEPTHS - 1,
        )

    def _darker(self, role: str) -> str:
        colour = self.palette.blocks[BLOCK_OF.get(role.partition(" ")[2], 2)]
        if not colour.startswith("#"):
            return colour
        part = 0.93 if self.name == "light" else 0.78
        return "#" + "".join(f"{round(int(colour[i : i + 2], 16) * part):02x}" for i in (1, 3, 5))

    def variables(self) -> dict[str, str]:
        """The colours the boxes of questions take, for `desk.tcss`."""
        if self.name in ("plain", "sixteen"):
            return dict.fromkeys(("ground", "lifted", "paper", "faint"), "ansi_default") | {
                "frame": "ansi_default" if self.name == "plain" else "ansi_bright_magenta",
                "lit": "ansi_white" if self.name == "sixteen" else "ansi_default",
                "on-lit": "ansi_black" if self.name == "sixteen" else "ansi_default",
            }
        p = self.palette
        return {"ground": p.ground, "lifted": p.lifted, "paper": p.paper, "faint": p.grey,
                "frame": p.lilac, "lit": p.paper, "on-lit": p.ground}  # fmt: skip


def look_for(environment: Mapping[str, str], color_system: str | None, kept: str = "") -> str:
    """The name of the look a terminal takes: none, sixteen, or the one kept, else dark."""
    if environment.get("NO_COLOR"):
        return "plain"
    asked = environment.get("LINEBEAT_LOOK", "")
    if asked in NAMES:
        return asked
    if color_system == "standard" and kept != "plain":
        return "sixteen"
    return kept if kept in NAMES else "dark"


def depth_of(strength: float) -> int:
    """The depth of a tint for a strength of 0..1."""
    return min(DEPTHS - 1, int(strength * DEPTHS))


def _roles(p: Palette, name: str) -> dict[str, Style]:
    bar = "" if name == "sixteen" else p.lifted
    on_bar = Style(reverse=True) if name == "sixteen" else Style(bgcolor=bar)
    return {
        "plain": Style(color=p.paper), "said": Style(color=p.paper),
        "said light": Style(color=p.paper, bold=True),
        "said strong": Style(color=p.amber, bold=True),
        "said main": Style(color=p.amber, bold=True),
        "strong": Style(color=p.amber, bold=True), "main": Style(color=p.amber, bold=True),
        "contour": Style(color=p.soft), "glide": Style(color=p.teal, bold=True),
        "bridge": Style(color=p.faint), "stem": Style(color=p.faint),
        "head line": Style(color=p.rose, bold=True), "zero": Style(color=p.faint),
        "pause": Style(color=p.grey, italic=True), "breath": Style(color=p.sky, italic=True),
        "main frame": Style(color=p.amber, bold=True), "stress frame": Style(color=p.soft),
        "label": Style(color=p.soft), "tick": Style(color=p.faint),
        "cursor label": Style(color=p.ground if name != "sixteen" else "black",
                              bgcolor=p.paper if name != "sixteen" else "white", bold=True),
        "note": Style(color=p.rose, italic=True),
        "note done": Style(color=p.grey, italic=True, strike=True),
        "beat edge": Style(color=p.amber, bold=True, reverse=True),
        "decided": Style(color=p.green, bold=True),
        "dropped": Style(color=p.grey, strike=True), "name line": Style(color=p.faint),
        "lands": Style(color=p.green), "off": Style(color=p.red, bold=True),
        "free": Style(color=p.grey), "pose": Style(color=p.sky, bold=True),
        "problem": Style(color=p.red), "remark": Style(color=p.soft, italic=True),
        "margin": Style(color=p.soft), "stage": Style(color=p.soft, italic=True),
        "untagged": Style(color=p.grey),
        "gutter": Style(color=p.grey), "gutter on": Style(color=p.amber, bold=True),
        "gutter name": Style(color=p.lilac, bold=True),
        "more": Style(color=p.paper, bgcolor=p.column), "hint": Style(color=p.grey, italic=True),
        "heading": Style(color=p.paper, bold=True), "why": Style(color=p.paper),
        "figure": Style(color=p.teal), "number": Style(color=p.paper, bold=True),
        "title": on_bar + Style(color=p.paper, bold=True), "bar": on_bar + Style(color=p.paper),
        "way": on_bar + Style(color=p.soft), "way on": on_bar + Style(color=p.amber, bold=True),
        "state": on_bar + Style(color=p.soft), "unsaved": on_bar + Style(color=p.amber, bold=True),
        "alarm": Style(color=p.on_hit, bgcolor=p.red, bold=True),
        "where": on_bar + Style(color=p.paper, bold=True), "here": on_bar + Style(color=p.paper),
        "told": on_bar + Style(color=p.teal, bold=True),
        "message": Style(color=p.teal, bold=True),
        "key": on_bar + Style(color=p.amber, bold=True),
        "key label": on_bar + Style(color=p.paper),
    }  # fmt: skip


def _plain_roles() -> dict[str, Style]:
    """Weights alone, for terminals and people without colour."""
    heavy = ("strong", "main", "said strong", "said main", "main frame", "heading", "number",
             "gutter on", "gutter name", "off", "problem", "message", "decided")  # fmt: skip
    barred = ("title", "bar", "way", "way on", "state", "unsaved", "where", "here", "told", "key",
              "key label", "more", "cursor label")  # fmt: skip
    roles = dict.fromkeys(_roles(DARK, "dark"), Style())
    roles |= dict.fromkeys(heavy, Style(bold=True))
    roles |= dict.fromkeys(barred, Style(reverse=True))
    roles |= {"way on": Style(reverse=True, bold=True, underline=True),
              "alarm": Style(reverse=True, bold=True), "beat edge": Style(reverse=True, bold=True),
              "dropped": Style(strike=True), "note done": Style(strike=True),
              "said main": Style(bold=True, underline=True)}  # fmt: skip
    return roles
