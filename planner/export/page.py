"""A page that stands alone: one HTML file, its styles and script inside, no network.

The content security policy lets in exactly these styles and this script, by their hashes, and
images and sound that are part of the page; so nothing that a name or a note may hold can run.
"""

from __future__ import annotations

import base64
import hashlib
from functools import lru_cache
from importlib.resources import files

from planner.export.plain import escaped


@lru_cache
def asset(name: str) -> str:
    """A style sheet or script that comes with linebeat."""
    return (files("planner.export") / name).read_text(encoding="utf-8")


def html_page(title: str, body: str, *, css: str, script: str = "", body_class: str = "") -> str:
    """A whole page. `body` is HTML whose texts are escaped already; `title` is plain text."""
    policy = [
        "default-src 'none'",
        f"style-src '{_hash(css)}'",
        f"script-src '{_hash(script)}'" if script else "script-src 'none'",
        "img-src data:",
        "media-src data:",
        "base-uri 'none'",
        "form-action 'none'",
    ]
    kind = f' class="{body_class}"' if body_class else ""
    ending = f"<script>{script}</script>\n" if script else ""
    return (
        f'<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{"; ".join(policy)}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escaped(title)}</title>\n<style>{css}</style>\n</head>\n"
        f"<body{kind}>\n{body}\n{ending}</body>\n</html>\n"
    )


def _hash(text: str) -> str:
    """A hash source of CSP level 2: the text between the tags, as it stands."""
    digest = hashlib.sha256(text.encode("utf-8")).digest()
    return f"sha256-{base64.b64encode(digest).decode('ascii')}"


def isolated(text: str) -> str:
    """User text in a page, escaped, its reading direction its own."""
    return f"<bdi>{escaped(text)}</bdi>"
