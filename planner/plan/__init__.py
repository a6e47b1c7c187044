"""From a scene and what was heard to the plan of the shot, in seconds first, then on frames.

Way in: `make_plan(scene, readings)` in `planner.plan.make`.
"""
