"""A new rule, and a new intent, each take one file."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path

import pytest
from plans import beat, of_kind, plan_of

import planner.rules
from planner.intents import load_intents, table_of
from planner.rules import rules_of

KINDS = {"pose", "accent", "anticipation", "head-move", "settle", "hold", "follow", "gesture",
         "weight-shift", "reaction", "laugh", "breath", "blink", "look", "brow"}  # fmt: skip

SHRUG = '''
from planner.rules import rule
from planner.plan.suggestion import Why
from planner.shot import shot_of

@rule("shrug", order=52)
def shrugs(context, board):
    """A small lift of the shoulders as the last phrase ends."""
    last = context.phrases[-1]
    syllable = context.syllables[last.last]
    span = context.span_of(syllable.index)
    why = Why("the line ends", span.intent.said, "Let it go.", "common practice")
    return [context.draft("gesture", "shoulders", syllable.anchor, span=span, text=syllable.word,
                          at_s=(last.end_s - 0.3, last.end_s, last.end_s + 0.3), size=0.2,
                          direction="up", path="arc", because=why, must=True)]
'''


@pytest.fixture
def another_rule(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    (tmp_path / "shrug.py").write_text(SHRUG, encoding="utf-8")
    monkeypatch.setattr(planner.rules, "__path__", [*planner.rules.__path__, str(tmp_path)])
    monkeypatch.setattr(planner.rules, "_REGISTERED", dict(planner.rules._REGISTERED))
    rules_of.cache_clear()
    yield
    sys.modules.pop("planner.rules.shrug", None)
    rules_of.cache_clear()


def test_there_is_a_rule_for_every_kind():
    names = {r.name for r in (*rules_of("line"), *rules_of("listening"))}
    assert names >= KINDS


def test_every_rule_file_is_named_for_its_kind():
    folder = Path(planner.rules.__file__).parent
    files = {f.stem.replace("_", "-") for f in folder.glob("[a-z]*.py")}
    assert files == KINDS


def test_rules_run_in_their_order():
    orders = [r.order for r in rules_of("line")]
    assert orders == sorted(orders)


def test_a_file_in_the_folder_is_a_rule(another_rule):
    assert "shrug" in {r.name for r in rules_of("line")}
    plan = plan_of("that is the THIRD lamp", tail_s=1.0)
    assert "gesture/shoulders/1/w5s1" in {s.id for s in of_kind(plan, "gesture")}


def test_a_new_intent_is_an_entry_in_the_table():
    raw = {n: asdict(i) for n, i in load_intents().items()}
    for entry in raw.values():
        del entry["name"], entry["strength"]
    raw["smug"] = {"based_on": "proud", "reason": "Knows, and waits.", "brow": "up"}
    table = table_of(raw, file="intents.yaml")
    assert table["smug"].brow == "up"
    assert table["smug"].pose_ms == table["proud"].pose_ms


def test_a_line_may_be_exposed_otherwise_than_its_scene():
    from dataclasses import replace

    from made_voices import scene, voice

    from planner.plan.make import make_plan
    from planner.shot import shot_of

    made = scene([("clerk", 0.0), ("clerk", 4.0)], step=2, beats=[beat("teasing", 1, 5)])
    made = replace(made, lines=(made.lines[0], replace(made.lines[1], step=1)))
    said = "that is the THIRD lamp"
    plan = make_plan(shot_of(made, {1: voice(said), 2: voice(said, lead_s=0.31)}))
    spoken = {
        n: [s for s in plan.suggestions if s.line == n and s.kind == "accent"] for n in (1, 2)
    }
    assert all((s.hit - 1001) % 2 == 0 for s in spoken[1])
    drawings = [m.frame for s in plan.suggestions if s.line == 2 for m in s.timing_chart]
    assert any((f - 1001) % 2 for f in drawings)
