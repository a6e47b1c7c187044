"""The voice: what is heard in a clip, and when.

Way in: `audio.reading.read_voice` takes a clip (and its words, if known) and returns a frozen
`VoiceReading`. Everything here is in seconds and hertz; frames belong to `planner`.
Nothing in this package imports `planner`.
"""
