"""All sheets in the order a person reads: results of the bid early, workings behind, catalogs after them."""

from __future__ import annotations

from takeoff.workbook.sheets.inputs import CATALOGS, JOB
from takeoff.workbook.sheets.results import END, FRONT, RESULTS
from takeoff.workbook.sheets.workings import WORKINGS

SHEETS = (*FRONT, *JOB, *RESULTS, *WORKINGS, *CATALOGS, *END)
