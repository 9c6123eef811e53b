"""Texts in and out: problems, tables as text, headings, dates, files written whole."""
