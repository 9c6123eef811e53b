"""Time studies: readings, statistics, minutes laid over a catalog."""
