"""The sound itself: level, where the voice sounds, noise taken down, the sound of a film."""
