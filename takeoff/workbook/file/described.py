"""Charts and pictures that say in words what they show."""

from __future__ import annotations

from typing import Any

from openpyxl.drawing.spreadsheet_drawing import SpreadsheetDrawing


class Described(SpreadsheetDrawing):
    """A drawing whose charts and pictures say in words what they show, for people who do not see them."""

    __elements__ = SpreadsheetDrawing.__elements__
    __attrs__ = SpreadsheetDrawing.__attrs__
    __nested__ = SpreadsheetDrawing.__nested__

    def _chart_frame(self, idx: int) -> Any:
        frame = super()._chart_frame(idx)
        frame.nvGraphicFramePr.cNvPr.descr = getattr(self.charts[idx - 1], "words", "")
        return frame

    def _picture_frame(self, idx: int) -> Any:
        frame = super()._picture_frame(idx)
        frame.nvPicPr.cNvPr.descr = getattr(self.images[idx - len(self.charts) - 1], "words", "")
        return frame
