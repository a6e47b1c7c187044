"""A scene laid out in time: the readings as the user hears them, every line on its frames."""
