"""The commands, one file each: parse, call, print. `planner.cli` finds them by name."""
