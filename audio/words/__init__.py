"""Text into spoken words: dictionary, reasoned guesses, syllables."""
