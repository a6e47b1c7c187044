"""Words and phones laid on the sound, and how far that can be trusted."""
