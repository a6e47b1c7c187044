"""Files on disk: written whole or not at all, told apart, the bundled scenes."""
