"""Catalogs: rows by their rules, shipped rows with those of the user laid over, plans, packages, job steps."""
