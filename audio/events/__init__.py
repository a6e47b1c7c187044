"""Breaths, laughs and sighs: sounds of the speaker that are no words."""
