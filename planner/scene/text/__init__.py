"""Scene files as text: YAML nodes with their places, typed reading, checks, splice writing.

The way in is `planner.scene_file`.
"""
