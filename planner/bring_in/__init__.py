"""What comes back from other programs: tagged scripts, beats and key poses."""
