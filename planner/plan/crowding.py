"""How much may happen around a phrase's point: a quiet intent has few things in a second.

Conventions: seconds of the line. Around each beat's main accents what moves within a second is
counted, and what exceeds the beat's share (by its strength) is left out, the least needed first:
preparations of small hits, fingers, breaths that are not heard, settles, brows, trailing parts.
Attitudes, accents, gestures, what is heard and what marks a change of thought always stay.
All numbers are common practice.
"""

from __future__ import annotations

from collections.abc import Sequence

from planner.plan.context import LineContext
from planner.plan.drafts import Draft

HALF_S = 0.5  # on either side of a hit
FEWEST = 4
MORE_AT_FULL = 4  # at strength 1
PREPARED_SIZE = 0.4  # a hit as big keeps its preparation
EXPENDABLE = ("anticipation", "fingers", "breath", "settle", "brow", "follow")


def thinned(context: LineContext, drafts: Sequence[Draft]) -> list[Draft]:
    """The drafts without what is too much around the hits, in their order."""
    left = list(drafts)
    hits = [d for d in drafts if d.kind == "accent" and d.must and d.hit_s is not None]
    for hit in hits:
        strength = context.spans[hit.span].intent.strength
        most = int(FEWEST + MORE_AT_FULL * strength)
        near = [d for d in left if _near(d, hit.hit_s or 0.0)]
        over = len(near) - most
        if over <= 0:
            continue
        ranked = sorted((r, k) for k, d in enumerate(near) for r in (_rank(d, hit),) if r >= 0)
        gone = {near[k].id for _, k in ranked[:over]}
        left = [d for d in left if d.id not in gone]
    return left


def _near(draft: Draft, hit_s: float) -> bool:
    moment_s = draft.start_s if draft.hit_s is None else draft.hit_s
    return abs(moment_s - hit_s) <= HALF_S and draft.kind != "hold"


def _rank(draft: Draft, hit: Draft) -> int:
    """How soon a draft is given up: 0 first; -1 never."""
    sort = "fingers" if draft.part.endswith("fingers") else draft.kind
    heard = draft.kind == "breath" and "silence" not in draft.because.sound
    if sort not in EXPENDABLE or heard or draft.must or "marked by" in draft.because.intent:
        return -1
    if sort == "anticipation" and (draft.part == "whole" or draft.must):
        return -1
    if sort == "anticipation" and hit.size >= PREPARED_SIZE and draft.anchor == hit.anchor:
        return -1
    return EXPENDABLE.index(sort)
