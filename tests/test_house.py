"""Which way dependencies flow, and what is not loaded at start-up."""

from __future__ import annotations

import ast
import subprocess
import sys
from graphlib import TopologicalSorter
from pathlib import Path

import pytest


def loaded_after(statement: str) -> set[str]:
    """The modules a fresh Python has loaded after a statement."""
    code = f"{statement}\nimport sys\nprint('\\n'.join(sys.modules))"
    run = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    return set(run.stdout.split())


def test_audio_never_loads_planner() -> None:
    modules = loaded_after(
        "import pkgutil, importlib, audio\n"
        "for m in pkgutil.walk_packages(audio.__path__, 'audio.'):\n"
        " importlib.import_module(m.name)"
    )

    assert "audio.reading" in modules
    assert not {m for m in modules if m.split(".")[0] == "planner"}


@pytest.mark.parametrize(
    "heavy", ["textual", "librosa", "scipy", "parselmouth", "pocketsphinx", "av", "cv2"]
)
def test_planning_loads_nothing_heavy(heavy: str) -> None:
    modules = loaded_after(
        "import audio.read_voice, planner.plan.make, planner.scene_file, planner.commands.plan"
    )

    assert "planner.plan.make" in modules
    assert heavy not in modules


# Who may import whom: a room imports from its own or from those above it in this table.
ROOMS = (
    ("audio",),
    ("planner.frames", "planner.files", "planner.streams", "planner.lexicon",
     "planner.told.wording", "planner.plan.ease", "planner.plan.carriers"),
    ("planner.scene", "planner.scene_file", "planner.intents"),
    ("planner.shot",),
    ("planner.plan", "planner.rules"),
    ("planner.motion", "planner.check", "planner.paths", "planner.lead", "planner.picture"),
    ("planner.told", "planner.export", "planner.bring_in"),
    ("planner.desk", "planner.many", "planner.commands", "planner.cli", "planner.__main__"),
)  # fmt: skip
ROOT = Path(__file__).resolve().parent.parent


def imports() -> dict[str, set[str]]:
    """What each module imports, wherever in it; what is there for type checkers is left out."""
    files = [f for top in ("audio", "planner") for f in (ROOT / top).rglob("*.py")]
    names = {_name(f): f for f in files}
    return {name: _imported(file, set(names)) - {name} for name, file in names.items()}


def _name(file: Path) -> str:
    return ".".join(file.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


def _imported(file: Path, known: set[str]) -> set[str]:
    tree = ast.parse(file.read_text(encoding="utf-8"))
    typing_only = {
        id(inner)
        for node in ast.walk(tree)
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test)
        for inner in ast.walk(node)
    }
    found: set[str] = set()
    for node in ast.walk(tree):
        if id(node) in typing_only:
            continue
        if isinstance(node, ast.ImportFrom) and node.module and not node.level:
            for alias in node.names:
                whole = f"{node.module}.{alias.name}"
                found.add(whole if whole in known else node.module)
        elif isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
    return found & known


def _room(module: str) -> int | None:
    """The place of a module's room in the table: that of the longest name that fits."""
    fits = [
        (len(prefix), place)
        for place, room in enumerate(ROOMS)
        for prefix in room
        if module == prefix or module.startswith(f"{prefix}.")
    ]
    return max(fits)[1] if fits else None


def test_every_module_has_its_room() -> None:
    assert [m for m in imports() if m != "planner" and _room(m) is None] == []


def test_no_room_imports_from_one_below_it() -> None:
    upward = [
        (module, other)
        for module, others in imports().items()
        for other in others
        if module != "planner" and (_room(module) or 0) < (_room(other) or 0)
    ]

    assert upward == []


def test_no_modules_import_each_other_in_a_circle() -> None:
    order = TopologicalSorter(imports())

    order.prepare()  # raises CycleError, which names the circle
