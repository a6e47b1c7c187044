"""Points followed in a movie: pins in, a position a frame out. The way in is `follow_points`."""
