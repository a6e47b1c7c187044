"""The rules: one file a kind of suggestion. A file put here is found by itself.

A rule is a function `(context, board) -> list[Draft]`, registered by its decorator:

    @rule("nod-back", order=55)
    def nod_back(context: LineContext, board: Board) -> list[Draft]: ...

`of="line"` rules see a line of a speaker (`planner.plan.context.LineContext`); `of="listening"`
rules see a stretch in which a character does not speak (`planner.plan.listening.Listening`).
Rules run in their order; what a rule returns is fitted on the board, where earlier moves have the
right of way (`planner.plan.conflicts`), so the order is the rank. Files whose name starts with
_ hold no rule.
"""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal

Of = Literal["line", "listening"]


@dataclass(frozen=True, slots=True)
class Rule:
    """A registered rule. `order` is its rank: a lower one plans first."""

    name: str
    order: int
    of: Of
    plan: Callable[[Any, Any], list[Any]]


_REGISTERED: dict[tuple[str, Of], Rule] = {}


def rule(
    name: str, *, order: int, of: Of = "line"
) -> Callable[[Callable[[Any, Any], list[Any]]], Callable[[Any, Any], list[Any]]]:
    """Registers a rule under a name, at a rank."""

    def register(plan: Callable[[Any, Any], list[Any]]) -> Callable[[Any, Any], list[Any]]:
        _REGISTERED[(name, of)] = Rule(name, order, of, plan)
        return plan

    return register


@lru_cache(maxsize=4)
def rules_of(of: Of) -> tuple[Rule, ...]:
    """All rules of that kind of stretch, in their order. Finds every file of this folder once."""
    for module in pkgutil.iter_modules(__path__):
        if not module.name.startswith("_"):
            importlib.import_module(f"{__name__}.{module.name}")
    found = [r for r in _REGISTERED.values() if r.of == of]
    return tuple(sorted(found, key=lambda r: (r.order, r.name)))
