"""A line's language reaches the ear, from the scene file to the reading."""

from __future__ import annotations

import pytest

from planner.scene.text.plain import scene_plain
from planner.scene_file import parse_scene

SCENE = """\
linebeat: 1
rate: 24
language: es
characters: [clerk]
lines:
  - {sound: a.flac, at: 1, say: El tercero}
  - {sound: b.flac, at: 40, say: The third, language: en}
"""


def test_a_line_speaks_the_scenes_language_unless_it_names_its_own() -> None:
    scene = parse_scene(SCENE)

    assert [line.language for line in scene.lines] == ["es", "en"]
    plain = scene_plain(scene)
    assert plain["language"] == "es"
    assert [dict(line).get("language") for line in plain["lines"]] == [None, "en"]


def test_what_is_no_language_code_is_refused_with_the_ones_there_are(linebeat, tmp_path) -> None:
    path = tmp_path / "scene.yaml"
    path.write_text(SCENE.replace("language: es", "language: Spanish"), encoding="utf-8")

    ran = linebeat("plan", path)

    assert ran.code == 2
    assert (
        'language: "Spanish" is no language code; write two letters: en, es, de, fr, it' in ran.err
    )


def test_a_spanish_line_is_said_in_spanish(linebeat, demo_scenes, tmp_path) -> None:
    """Scene file -> ear: the words are laid with Spanish phones (any sound will do)."""
    pytest.importorskip("espeakng_loader")
    folder = tmp_path
    sound = demo_scenes / "lost_umbrella" / "clerk_01.flac"
    (folder / "a.flac").write_bytes(sound.read_bytes())
    (folder / "scene.yaml").write_text(
        "linebeat: 1\nrate: 24\nlanguage: es\ncharacters: [clerk]\n"
        "lines:\n  - {sound: a.flac, at: 1, say: Es el tercer paraguas de la semana}\n",
        encoding="utf-8",
    )
    from planner.commands._shared import read_lines
    from planner.scene_file import read_scene

    reading = read_lines(read_scene(folder / "scene.yaml"))[1]

    phones = [p.phone for w in reading.words for p in w.phones]
    assert any(p.startswith("a") for p in phones), phones
    assert "AE1" not in phones
