"""How strongly each syllable stands out, which bear a sentence accent, and why."""
