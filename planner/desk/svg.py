"""A picture of the desk as SVG that stands alone: no font is fetched from anywhere. Pure."""

from __future__ import annotations

import re

FONTS = "Fira Code, DejaVu Sans Mono, Menlo, Consolas, monospace"  # the first that is there


def standalone(svg: str) -> str:
    """Textual's SVG without fonts from the network and without the buttons of a window."""
    svg = re.sub(r"<!--.*?-->|\s*<circle [^>]*/>", "", svg, flags=re.DOTALL)
    svg = re.sub(r"\s*@font-face\s*\{[^}]*\}", "", svg)
    return re.sub(r"font-family:\s*Fira Code[^;]*;", f"font-family: {FONTS};", svg)
