"""Results out: JSON, terminal, order files, crew pages, the workbook."""
