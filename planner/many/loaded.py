"""Loads what hearing and checking need; imported once for all workers, and for its effect."""

import planner.check.check_poses
import planner.many.work
import planner.plan.make  # noqa: F401
