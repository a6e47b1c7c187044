"""The plan as a performance: every channel of every character on every frame.

    performance = compile_motion(plan, shot)
    performance.of("clerk").channel("head.up")        # degrees, a value a frame

Degrees for head, chest, hips and eyes; up, picture right and clockwise are positive; shares for the
rest. `amplitudes.yaml` says how much of everything. Nothing here opens a file but that table.
"""

from planner.motion.compile import compile_motion
from planner.motion.performance import CharacterMotion, GivenUp, Performance

__all__ = ["CharacterMotion", "GivenUp", "Performance", "compile_motion"]
