"""The stresses that poses are held against, once the user has decided about their accents.

Conventions: frames are the scene's own. A stress whose accent was dropped asks for no pose: it
counts as a light one, and is never missed. Where an accent was moved or locked to a frame that its
own window would not let pass, the stress counts there; within the window nothing changes. Without
a plan nothing was decided.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from planner.check.assign import Window
from planner.plan.context import anchors
from planner.plan.decisions import parts_of
from planner.plan.suggestion import Plan, Suggestion
from planner.shot import Shot
from planner.shot.stresses import SpokenStress

WindowOf = Callable[[str, SpokenStress], Window]
PLACED = ("move", "lock")  # decisions that say on which frame an accent hits


def decided_stresses(
    shot: Shot, plan: Plan | None, stresses: Sequence[SpokenStress], window_of: WindowOf
) -> tuple[tuple[SpokenStress, ...], frozenset[tuple[int, int]]]:
    """The stresses as decided, in order of time, and those (line, syllable) that ask for nothing.

    window_of : the window of a part at a stress.
    """
    if plan is None or not shot.scene.decisions:
        return tuple(stresses), frozenset()
    stays, gone = _accents(plan.suggestions), _accents(plan.dropped)
    names = {number: anchors(reading) for number, reading in shot.heard.items()}
    found: list[SpokenStress] = []
    unasked: set[tuple[int, int]] = set()
    for stress in stresses:
        place = (stress.line, names[stress.line][stress.syllable])
        accent = stays.get(place)
        if accent is None and place in gone:
            unasked.add((stress.line, stress.syllable))
            weight = stress.weight - 2.0 * stress.main - stress.strong
            found.append(replace(stress, main=False, strong=False, weight=weight))
        else:
            found.append(_placed(stress, accent, window_of))
    order = sorted(found, key=lambda s: (s.frame, s.line, s.syllable))
    return tuple(order), frozenset(unasked)


def _accents(suggestions: Sequence[Suggestion]) -> Mapping[tuple[int, str], Suggestion]:
    """Accents by line and anchor."""
    found: dict[tuple[int, str], Suggestion] = {}
    for s in suggestions:
        pieces = parts_of(s.id)
        if s.kind == "accent" and s.line is not None and pieces:
            found[s.line, pieces[3]] = s
    return found


def _placed(stress: SpokenStress, accent: Suggestion | None, window_of: WindowOf) -> SpokenStress:
    """The stress on the frame where the user wants its accent."""
    if accent is None or accent.hit is None or accent.decision not in PLACED:
        return stress
    if window_of(accent.part, stress).lands(accent.hit - stress.frame):
        return stress
    return replace(stress, frame=accent.hit)
