"""The desk's panels: each shows rows of cells it is handed, and posts what the mouse does."""
