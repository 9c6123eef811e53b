"""The tables of the workbook: what each column is, defined once for formula and value alike."""
