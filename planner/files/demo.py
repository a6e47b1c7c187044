"""Where the bundled scenes are: inside an installed package, or beside it in a checkout."""

from __future__ import annotations

from pathlib import Path

from audio.errors import LinebeatError

DEMO_NAME = "lost_umbrella"


def demo_scene(name: str = DEMO_NAME) -> Path:
    """The scene file of a bundled scene.

    Raises LinebeatError if the package was installed without its scenes.
    """
    here = Path(__file__).resolve().parent.parent
    for folder in (here / "demo_scenes", here.parent / "demo_scenes"):
        path = folder / name / "scene.yaml"
        if path.is_file():
            return path
    raise LinebeatError(f'the bundled scene "{name}" is missing', mend="install linebeat again")
