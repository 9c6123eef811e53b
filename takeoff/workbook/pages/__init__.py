"""Pages that are more than tables."""
