"""What the user made: a scene as plain frozen data, and its text.

The data stand in `planner.scene.data`; `planner.scene_file` reads and saves them, by way of
`planner.scene.text`; `planner.scene.start` makes a first scene from clips.
"""

from planner.scene.data import (
    PARTS,
    Beat,
    Cue,
    Decision,
    DecisionDo,
    Heard,
    KeyPose,
    Line,
    Meant,
    Note,
    Passes,
    Planted,
    Scene,
    Side,
    TrackOf,
)

__all__ = [
    "PARTS",
    "Beat",
    "Cue",
    "Decision",
    "DecisionDo",
    "Heard",
    "KeyPose",
    "Line",
    "Meant",
    "Note",
    "Passes",
    "Planted",
    "Scene",
    "Side",
    "TrackOf",
]
