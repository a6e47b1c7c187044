"""Passes: which layer of the work is done on which phrase, and what findings are open there.

Conventions: phrases are those of the readings, counted over the scene from 1 in order of time;
frames are the scene's own, inclusive. The passes are the scene's own names, in their order. A
problem of a check belongs to the phrase of its character that is nearest to its frames, and to
the pass its kind is mended in, if the scene has one of that name.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from audio.errors import UsageError
from planner.check.compare import Problem
from planner.scene import Passes, Scene
from planner.shot import PhraseAt
from planner.told.wording import nearest

MENDED_IN = MappingProxyType(
    {
        "early": "body", "late": "body", "missed": "body", "all-on-one-frame": "offsets",
        "rushed-settle": "body", "empty-hold": "body", "early-reaction": "body",
        "unmotivated-pose": "body",
    }
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class PhraseState:
    """What is done on a phrase, what comes next, and what problems are open there."""

    phrase: PhraseAt
    done: tuple[str, ...]
    to_do: tuple[str, ...]
    problems: tuple[Problem, ...]


def phrase_states(
    scene: Scene, phrases: Sequence[PhraseAt], problems: Iterable[Problem] = ()
) -> tuple[PhraseState, ...]:
    """What is done and what is open, phrase by phrase."""
    open_here: dict[int, list[Problem]] = {}
    for problem in problems:
        own = [p for p in phrases if p.who == problem.who]
        if own:
            nearest_one = min(own, key=lambda p: (_apart(p.frames, problem.frames), p.number))
            open_here.setdefault(nearest_one.number, []).append(problem)
    names = scene.passes.names
    states = []
    for phrase in phrases:
        done = tuple(n for n in names if n in scene.passes.done.get(phrase.number, ()))
        to_do = tuple(n for n in names if n not in done)
        states.append(PhraseState(phrase, done, to_do, tuple(open_here.get(phrase.number, ()))))
    return tuple(states)


def _apart(a: tuple[int, int], b: tuple[int, int]) -> int:
    return max(0, max(a[0], b[0]) - min(a[1], b[1]))


def pass_of(problem: Problem, names: Sequence[str]) -> str | None:
    """The pass a problem is mended in, if the scene has it."""
    name = MENDED_IN.get(problem.kind)
    return name if name in names else None


def with_pass(
    scene: Scene, phrases: Sequence[PhraseAt], phrase: int, name: str, *, done: bool = True
) -> Scene:
    """The scene with a pass of a phrase done, or not. "all" is every pass.

    Raises UsageError for a phrase or a pass that does not exist.
    """
    passes = scene.passes
    if not 1 <= phrase <= len(phrases):
        raise UsageError(
            f"there is no phrase {phrase} in {scene.file}",
            mend=f"it has phrases 1 to {len(phrases)}" if phrases else "nothing is spoken in it",
        )
    chosen = passes.names if name == "all" else (name,)
    if name != "all" and name not in passes.names:
        raise UsageError(f'no pass "{name[:60]}"', mend=nearest(name, passes.names))
    before = set(passes.done.get(phrase, ()))
    after = before | set(chosen) if done else before - set(chosen)
    table: dict[int, tuple[str, ...]] = dict(passes.done)
    table[phrase] = tuple(n for n in passes.names if n in after)
    return replace(scene, passes=Passes(passes.names, _without_empty(table)))


def _without_empty(table: Mapping[int, tuple[str, ...]]) -> Mapping[int, tuple[str, ...]]:
    return MappingProxyType({k: v for k, v in sorted(table.items()) if v})
