"""What a rule may say of a draft is what a draft holds; the type checker sees to the rest."""

from __future__ import annotations

import inspect
from dataclasses import MISSING, fields
from typing import get_type_hints

import pytest

from planner.plan.context import LineContext
from planner.plan.drafts import Draft, DraftMore
from planner.plan.listening import Listening


def test_the_keywords_are_the_fields_of_a_draft_with_their_types() -> None:
    of_draft, more = get_type_hints(Draft), get_type_hints(DraftMore)

    assert {name: of_draft[name] for name in more} == more


@pytest.mark.parametrize("maker", [LineContext, Listening])
def test_no_keyword_is_anything(maker: type) -> None:
    """Every other field that has a default is set by `draft` itself."""
    given = inspect.signature(maker.draft).parameters  # type: ignore[attr-defined]
    assert given["more"].annotation == "Unpack[DraftMore]"
    own = {f.name for f in fields(Draft) if f.default is not MISSING}
    assert own - set(get_type_hints(DraftMore)) == {"beat", "span", "step"}
