"""An addendum: what was changed by hand in an earlier workbook, laid over a new build, and what moved by it."""
