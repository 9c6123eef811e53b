"""All sheets in the order a person reads: results of the bid early, workings behind, catalogs after them."""

from __future__ import annotations

from takeoff.workbook.input_sheets import CATALOGS, JOB
from takeoff.workbook.result_sheets import END, FRONT, RESULTS
from takeoff.workbook.working_sheets import WORKINGS

SHEETS = (*FRONT, *JOB, *RESULTS, *WORKINGS, *CATALOGS, *END)
