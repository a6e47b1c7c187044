"""Syllables and their vowels, with a text and from sound alone."""
