"""A box drawn in black and white: shapes, picture, parts, words."""
