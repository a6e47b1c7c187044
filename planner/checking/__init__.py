"""Key poses against stresses: pairing, tolerance, findings, comparison.

The way in is `planner.check`.
"""
