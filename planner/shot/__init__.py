"""A scene laid out in time: the readings as the user hears them, every line on its frames."""

from planner.shot.shot import PhraseAt, Readings, Shot, shot_of

__all__ = ["PhraseAt", "Readings", "Shot", "shot_of"]
