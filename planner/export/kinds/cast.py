"""Everybody in one scene of glTF 2.0."""

from __future__ import annotations

from planner.export.facts import ShotFacts
from planner.export.kinds import Shown, export


@export("cast", ".glb", "glTF 2.0: everybody, moving", order=150, usual=True)
def as_glb(facts: ShotFacts, shown: Shown) -> bytes:
    """GlTF 2.0: everybody, moving."""
    from planner.export.gltf_file import gltf_bytes

    return gltf_bytes(facts)
