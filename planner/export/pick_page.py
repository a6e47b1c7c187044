"""The page on which points are named, clicked and dragged over a movie's frames.

One HTML file with a choice of frames as pictures; it works from a folder, asks the network for
nothing and sends nothing: what was picked is saved as a small table, `frame,name,x,y`, that
`linebeat track --points` reads. Pixels count from the middle of the top left one, as everywhere.
"""

from __future__ import annotations

import base64
import json
from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from planner.export.page import asset, html_page, isolated
from planner.picture.pins import Pin

PICTURES_MAX = 48  # on a page: some 3 MB
WIDEST = 1280  # pixels of a picture on the page; places count in the movie's own
QUALITY = 72  # of JPEG
USUAL_NAMES = (
    "nose", "chin", "chest", "l_shoulder", "l_elbow", "l_wrist", "l_fingertip", "r_shoulder",
    "r_elbow", "r_wrist", "r_fingertip",
)  # fmt: skip


def frames_to_show(first: int, last: int, pinned: Iterable[int] = ()) -> list[int]:
    """Frames for the page: evenly spread, with both ends and those that hold a pin."""
    count = min(last - first + 1, PICTURES_MAX)
    spread = {round(float(f)) for f in np.linspace(first, last, count)}
    return sorted(spread | {frame for frame in pinned if first <= frame <= last})


def pick_page(
    title: str, frames: Sequence[tuple[int, NDArray[np.uint8]]], *, width: int, height: int,
    pins: Sequence[Pin] = (), save_as: str = "points.csv", then: str = "",
) -> str:  # fmt: skip
    """The page.

    frames : frame number and picture (blue green red), in the movie's size width x height;
    save_as : the name of the table; then : the command that reads it, shown.
    """
    data = {
        "width": width, "height": height, "saveAs": save_as,
        "frames": [{"frame": frame, "picture": _jpeg_uri(picture)} for frame, picture in frames],
        "pins": [{"frame": p.frame, "name": p.name, "x": p.x, "y": p.y} for p in pins],
    }  # fmt: skip
    text = json.dumps(data).replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")
    names = "".join(f'<option value="{name}"></option>' for name in USUAL_NAMES)
    body = (
        f"<header><h1>Points in {isolated(title)}</h1>"
        "<p>Name a point, then click where it is. A corner, a spot or the end of a line is "
        "followed best. One frame is enough; where a point is covered or turns away, set it again "
        "on a later frame.</p>"
        "<noscript><p>Scripts are off: nothing can be picked.</p></noscript></header>"
        '<main><section class="large" aria-label="picture">'
        '<div class="bar"><button type="button" id="back" aria-label="earlier picture">earlier'
        '</button><output id="frame"></output><button type="button" id="on" '
        'aria-label="later picture">later</button>'
        '<button type="button" id="closer">closer</button><button type="button" id="whole">whole '
        'picture</button><span id="place" role="status"></span></div>'
        '<canvas id="picture" tabindex="0" aria-label="the frame; click to set the point"></canvas>'
        '<p class="keys">click sets the point, drag its mark to mend it, drag beside it to move '
        "the picture; wheel or + and - zoom, 0 shows all; left and right change the frame, arrows "
        "with shift move the mark by a tenth of a pixel, delete takes it off</p>"
        '<div id="strip" role="listbox" aria-label="frames"></div></section>'
        '<section class="side" aria-label="points"><form id="new">'
        '<label for="name">point</label><input id="name" list="names" autocomplete="off" '
        f'placeholder="nose" maxlength="60"><datalist id="names">{names}</datalist>'
        '<button type="submit">add</button></form><p id="wrong" role="alert"></p>'
        '<ol id="points"></ol><button type="button" id="save">save points</button>'
        '<p class="then">The file stays on this machine. Then: '
        f"<code>{isolated(then)}</code></p>"
        '<textarea id="table" readonly rows="6" aria-label="the table of points"></textarea>'
        "</section></main>"
        f'<script type="application/json" id="data">{text}</script>'
    )
    return html_page(f"points in {title}", body, css=asset("pick.css"), script=asset("pick.js"))


def _jpeg_uri(picture: NDArray[np.uint8]) -> str:
    import cv2

    if picture.shape[1] > WIDEST:
        sides = WIDEST, round(picture.shape[0] * WIDEST / picture.shape[1])
        picture = np.asarray(cv2.resize(picture, sides, interpolation=cv2.INTER_AREA), np.uint8)
    done, packed = cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, QUALITY])
    if not done:
        raise ValueError("the picture could not be packed")
    return "data:image/jpeg;base64," + base64.b64encode(packed.tobytes()).decode("ascii")
