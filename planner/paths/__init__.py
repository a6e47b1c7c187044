"""Motion tracks: arcs, lag between parts, spacing, settles and drift, measured from points."""
