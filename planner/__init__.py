"""The plan: what the character does, on which frames, and why.

Way in: `planner.plan.make.make_plan(scene, readings)` takes values and returns a `Plan`.
`planner.frames` turns seconds into frames, `planner.scene_file` reads and writes scenes,
`planner.rules` holds one file a kind of suggestion.
"""

__version__ = "0.1.0"
