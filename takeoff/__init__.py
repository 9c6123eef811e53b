"""Compare armored-cable constructions for commercial branch wiring."""

__version__ = "0.1.0"
