"""The electrical facts that no input of the workbook changes: tree of runs, taps, make-up, places."""
