"""A new export takes one file: it is listed, named and written like any other."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

import planner.export.kinds
from planner.export.kinds import export_of, exports

WORD_COUNT = '''
from planner.export.kinds import export

@export("word-count", ".count", "how many words each line has", order=400, usual=True)
def as_count(facts, shown):
    """A number a line."""
    return "".join(f"{n} {len(r.words)}\\n" for n, r in facts.heard.items())
'''


@pytest.fixture
def another_export(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    (tmp_path / "word_count.py").write_text(WORD_COUNT, encoding="utf-8")
    kinds = planner.export.kinds
    exports()
    monkeypatch.setattr(kinds, "__path__", [*kinds.__path__, str(tmp_path)])
    monkeypatch.setattr(kinds, "_REGISTERED", dict(kinds._REGISTERED))
    exports.cache_clear()
    yield
    sys.modules.pop("planner.export.kinds.word_count", None)
    exports.cache_clear()


def test_a_file_in_the_folder_is_an_export(
    another_export: None, linebeat: Callable[..., Any], demo_scenes: Path, tmp_path: Path
) -> None:
    assert export_of("x.count", None).kind == "word-count"
    out = tmp_path / "lines.count"

    ran = linebeat("sheet", demo_scenes / "lost_umbrella", out)

    assert (ran.code, out.read_text(encoding="utf-8").splitlines()[0]) == (0, "1 7")


def test_every_file_is_named_for_its_kind() -> None:
    folder = Path(planner.export.kinds.__file__).parent
    files = {f.stem.replace("_", "-") for f in folder.glob("[a-z]*.py")}

    assert files == {e.kind for e in exports()}


def test_an_ending_alone_means_at_most_one() -> None:
    usual = [e.ending for e in exports() if e.usual]

    assert len(usual) == len(set(usual))
    assert len({e.order for e in exports()}) == len(exports())
