"""The lead's side: notes, passes, two takes compared."""
