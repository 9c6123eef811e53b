"""Which table stands on which sheet, in the order a person reads."""
