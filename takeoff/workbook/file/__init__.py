"""The file of a workbook: rows as text, parts of the archive, styles. Knows nothing of the trade."""
