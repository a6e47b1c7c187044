"""The tune of the voice: pitch, its movements that can be heard, phrases and pauses."""
