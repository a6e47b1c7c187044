"""Languages other than English, said by espeak-ng and laid on the sound."""
