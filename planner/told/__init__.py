"""Plans, readings, checks and reviews as text for a terminal."""
