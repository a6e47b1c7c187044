"""The desk: the terminal UI. Views are made by pure functions; widgets only show them."""
