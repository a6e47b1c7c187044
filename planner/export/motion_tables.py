"""The performance as tables: channels by frame, points in the picture, the plan's own key poses.

`motion`: a row a frame, a column a channel (WHO.PART.CHANNEL; units in this folder's README).
`tracks`: what `linebeat paths` reads. `plan-poses`: what `linebeat check --poses` reads.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence

import numpy as np

from planner.export.exposure import move_words
from planner.export.facts import ShotFacts
from planner.export.plain import cell, one_line

DIGITS = 4
_NUMBER = re.compile(r"-?[0-9.]+(?:e[+-][0-9]+)?")
POSES = ("pose", "accent", "reaction", "gesture", "weight-shift")


def motion_csv(facts: ShotFacts) -> str:
    """A row a frame: frame, then each character's channels as shown, then at whom it looks."""
    performance = facts.performance
    cast = [m for m in performance.characters if m.who in facts.characters]
    header = ["frame"]
    columns: list[np.ndarray] = []
    for motion in cast:
        header += [f"{one_line(motion.who)}.{name}" for name in motion.table.names]
        columns.append(motion.exposed)
    header += [f"{one_line(motion.who)}.eyes.at" for motion in cast]
    values = np.concatenate(columns, axis=1)
    low = facts.frames[0] - performance.first_frame
    rows = []
    for frame in range(facts.frames[0], facts.frames[1] + 1):
        at = [next((w for a, b, w in m.gaze if a <= frame <= b), "") for m in cast]
        cells = [f"{v:.{DIGITS}g}" for v in values[low + frame - facts.frames[0]]]
        rows.append([str(frame), *cells, *(one_line(w) for w in at)])
    return _table(header, rows)


def tracks_csv(facts: ShotFacts) -> str:
    """Points in a picture of 1920 by 1080, as `linebeat paths` reads them."""
    from planner.motion.picture import track_points

    points = track_points(facts.performance, facts.scene, facts.who)
    first = facts.performance.first_frame
    header = ["frame", *(f"{one_line(name)}.{axis}" for name in points for axis in "xy")]
    values = np.concatenate(list(points.values()), axis=1)
    frames = range(facts.frames[0], facts.frames[1] + 1)
    rows = ([str(f), *(f"{v:.3f}" for v in values[f - first])] for f in frames)
    return _table(header, rows)


def plan_poses_csv(facts: ShotFacts) -> str:
    """The plan's own key poses, in the columns of a poses file: frame, who, part, name."""
    rows = []
    for entry in facts.plan.suggestions:
        if entry.kind not in POSES or entry.hit is None or not facts.shows(entry.frames, entry.who):
            continue
        frame = entry.frames[1] if entry.kind == "reaction" else entry.hit
        name = move_words(entry) + (f' on "{entry.text}"' if entry.text else "")
        rows.append((frame, entry.who, entry.part, one_line(name)))
    ordered = sorted(rows)
    return _table(["frame", "who", "part", "name"], [[str(f), *rest] for f, *rest in ordered])


def _table(header: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([cell(name) for name in header])
    writer.writerows(
        [text if _NUMBER.fullmatch(text) else cell(text) for text in row] for row in rows
    )
    return out.getvalue()
