"""What `planner.plan` is made of: context, drafts in seconds, conflicts, decisions, frames.

The way in is `planner.plan`; rules live in `planner.rules`.
"""
