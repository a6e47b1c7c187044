"""The moving figures for a page: what is drawn once, and where its points are on every frame.

Points are whole hundredths of a head times two, each coordinate's row of frames as the differences
from frame to frame, low bytes before high bytes, deflated (RFC 1950), in base64. The page's script
adds them up and draws; it knows nothing of bodies. Pure.
"""

from __future__ import annotations

import base64
import json
import zlib
from typing import Any

import numpy as np

from planner.export.facts import ShotFacts
from planner.export.figures import ShotFigure
from planner.motion.figure import BOTTOM, TOP
from planner.motion.picture import WIDTH, places

UNITS_A_HEAD = 200


def figures_json(facts: ShotFacts) -> str:
    """The data block of a page. "<" is written so that no text can end the block."""
    at = places(facts.scene, tuple(f.motion.who for f in facts.figures))
    data = {
        "top": TOP, "bottom": BOTTOM, "unit": 1 / UNITS_A_HEAD,
        "cast": [_one(facts, f, at[f.motion.who] / WIDTH) for f in facts.figures],
        "phrases": _phrases(facts),
    }  # fmt: skip
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _one(facts: ShotFacts, figure: ShotFigure, at: float) -> dict[str, Any]:
    low = max(facts.frames[0] - figure.motion.first_frame, 0)
    points = figure.points[low : low + facts.frames[1] - facts.frames[0] + 1]
    return {
        "who": figure.motion.who, "at": round(at, 3), "frames": len(points),
        "points": points.shape[1],
        "shapes": [
            [s.first, s.count, int(s.closed), int(s.smooth), round(s.width, 4), s.ink, s.fill]
            for s in figure.shapes
        ],
        "keys": sorted({k.frame for k in figure.motion.keys
                        if facts.frames[0] <= k.frame <= facts.frames[1]}),
        "data": packed(points),
    }  # fmt: skip


def packed(points: np.ndarray) -> str:
    """Points (frames, points, 2) in heads as text."""
    whole = np.round(points.reshape(len(points), -1).T * UNITS_A_HEAD).astype(np.int32)
    steps = np.diff(whole, axis=1, prepend=0).astype("<i2")
    planes = steps.reshape(-1).view(np.uint8).reshape(-1, 2).T.tobytes()
    return base64.b64encode(zlib.compress(planes, 6)).decode("ascii")


def _phrases(facts: ShotFacts) -> list[list[int]]:
    """First and last frame of each phrase, in order."""
    lines = [x for x in facts.laid.between(*facts.frames) if x.who in facts.characters]
    found = {p.frames for line in lines for p in line.phrases}
    return [list(frames) for frames in sorted(found)]
