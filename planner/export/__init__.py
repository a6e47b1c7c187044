"""Exports, one file a format: `to_text(...)` makes the words, one shared safe write keeps them."""
