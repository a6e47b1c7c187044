"""A new finding takes one file: it is found and printed like any other."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

import planner.check.findings
from planner.check.findings import finding_rules

LATE_START = '''
from planner.check.findings import finding
from planner.check.result import Finding

@finding("late-start", order=60)
def late_start(seen, found):
    """A character's first pose is not on the first frame of the shot."""
    first = min((p.pose.frame for p in seen.poses), default=seen.shot.frames.first)
    late = first - seen.shot.frames.first
    if late <= 0:
        return []
    return [Finding("late-start", seen.who, (first, first), (), {"late_frames": late},
                    {"late_frames": [0, 0]}, True, f"{seen.who} stands nowhere for {late} frames")]
'''


@pytest.fixture
def another_finding(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    (tmp_path / "late_start.py").write_text(LATE_START, encoding="utf-8")
    findings = planner.check.findings
    finding_rules()
    monkeypatch.setattr(findings, "__path__", [*findings.__path__, str(tmp_path)])
    monkeypatch.setattr(findings, "_REGISTERED", dict(findings._REGISTERED))
    finding_rules.cache_clear()
    yield
    sys.modules.pop("planner.check.findings.late_start", None)
    finding_rules.cache_clear()


def test_a_file_in_the_folder_is_a_finding(
    another_finding: None, linebeat: Callable[..., Any], demo_scenes: Path, tmp_path: Path
) -> None:
    poses = tmp_path / "own.csv"
    poses.write_text("frame,who,part,name\n1030,clerk,head,own\n", encoding="utf-8")

    ran = linebeat("check", demo_scenes / "lost_umbrella", "--poses", poses)

    assert "clerk stands nowhere for 29 frames" in " ".join(ran.out.split())


def test_every_file_is_named_for_its_kind() -> None:
    folder = Path(planner.check.findings.__file__).parent
    files = {f.stem.replace("_", "-") for f in folder.glob("[a-z]*.py")}

    assert files == {rule.kind for rule in finding_rules()}
    assert len({rule.order for rule in finding_rules()}) == len(files)
