"""All sheets in the order a person reads: results, what may be changed, workings, catalogs, about."""

from __future__ import annotations

from takeoff.workbook.sheets.inputs import CATALOGS, JOB
from takeoff.workbook.sheets.results import END, FRONT
from takeoff.workbook.sheets.workings import WORKINGS

SHEETS = (*FRONT, *JOB, *WORKINGS, *CATALOGS, *END)
