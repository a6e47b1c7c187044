"""The desk's questions: a line of text, a choice, a filtered list, a page to read."""
