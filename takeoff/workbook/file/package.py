"""The file of a workbook: openpyxl's parts with our rows streamed into its sheets, always the same bytes.

openpyxl makes everything but the rows: styles, tables, names, validation, charts, print set-up. It leaves a
marker where the rows of a sheet go, and the archive takes them there as they are rendered; those of the largest
sheets are rendered meanwhile in a process of their own. Nothing in this module knows what the workbook is about.
"""

from __future__ import annotations

import datetime as dt
import io
import re
import zipfile
from collections.abc import Callable, Iterable, Sequence
from contextlib import nullcontext
from dataclasses import dataclass
from itertools import chain
from pathlib import Path
from typing import IO, Any
from xml.etree import ElementTree

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet._writer import WorksheetWriter
from openpyxl.worksheet.dimensions import SheetDimension
from openpyxl.worksheet.hyperlink import Hyperlink, HyperlinkList
from openpyxl.worksheet.worksheet import Worksheet
from openpyxl.writer.excel import ExcelWriter
from openpyxl.xml.functions import Element

from takeoff.workbook.file.beside import Packed, can_be_beside, packed_beside, packer, write_beside
from takeoff.workbook.file.described import Described
from takeoff.workbook.file.rows import SheetRows

BYTES_OF_A_CELL = 150
"""More than a cell of ours takes before it is packed: tells which sheets need the large form of a zip member."""
AT_ONCE = 1 << 20
"""Bytes of a packed member that are taken over at once."""
STAMP = (1980, 1, 1, 0, 0, 0)
"""The first date that a zip knows, for every part of the file: the same input gives the same bytes."""

PREFIXES = {
    "xdr": "http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing",
    "a": "http://schemas.openxmlformats.org/drawingml/2006/main",
    "c": "http://schemas.openxmlformats.org/drawingml/2006/chart",
    "r": "http://schemas.openxmlformats.org/officeDocument/2006/relationships",
}
"""The usual prefixes of a drawing: one reader of the format accepts no others."""

_IGNORED = (
    b'<ignoredErrors><ignoredError sqref="A1:XFD1048576" numberStoredAsText="1" formula="1" '
    b'calculatedColumn="1"/></ignoredErrors>'
)
"""What spreadsheet programs need not remark: texts such as 12 for a size, and formulas that refer to known rows."""

_AFTER_IGNORED = re.compile(rb"<drawing |<legacyDrawing |<tableParts|</worksheet>")

_UNDATED = re.compile(rb"<dcterms:(created|modified)[^>]*>1980-01-01T00:00:00Z</dcterms:\1>")
"""Dates of a book without one: openpyxl cannot leave them out."""

SAVED_BY = b"<Application>takeoff</Application>"
"""What a file says of the program that saved it last."""

_APP = (
    b'<?xml version="1.0"?><Properties xmlns="http://schemas.openxmlformats.org/officeDocument/2006/'
    b'extended-properties">' + SAVED_BY + b"</Properties>"
)


class _SheetWriter(WorksheetWriter):
    """openpyxl's sheet writer, with a marker where the rows go."""

    def __init__(self, sheet: Worksheet, rows: SheetRows) -> None:
        self.rows_of_sheet = rows
        super().__init__(sheet, out=io.BytesIO())

    def write_dimensions(self) -> None:
        row, column = self.rows_of_sheet.extent()
        self.xf.send(SheetDimension(f"A1:{get_column_letter(column)}{row}").to_tree())

    def write_rows(self) -> None:
        xf = self.xf.send(True)
        with xf.element("sheetData"):
            xf.write(Element("rows"))
        self.xf.send(None)

    def write_hyperlinks(self) -> None:
        links = [Hyperlink(ref=ref, location=target, display=target) for ref, target in self.rows_of_sheet.links]
        if links:
            self.xf.send(HyperlinkList(links).to_tree())


class _AsItIs:
    """Packs what is packed."""

    def compress(self, data: bytes) -> bytes:
        return data

    def flush(self) -> bytes:
        return b""


class _FixedZip(zipfile.ZipFile):
    """A zip whose members carry one date and no trace of the machine."""

    def member(self, name: str) -> zipfile.ZipInfo:
        """Return the description of a member."""
        info = zipfile.ZipInfo(name, STAMP)
        info.compress_type, info.external_attr, info.create_system = zipfile.ZIP_DEFLATED, 0o600 << 16, 0
        return info

    def open(self, *args: Any, **more: Any) -> Any:
        """Open a member to be written; what packs it is ours."""
        member = super().open(*args, **more)
        member._compressor = packer()  # type: ignore[attr-defined]
        return member

    def take(self, name: str, file: IO[bytes], packed: Packed, large: bool) -> None:
        """Take over a member that is packed already."""
        with self.open(self.member(name), "w", force_zip64=large) as out:
            out._compressor = _AsItIs()
            file.seek(packed.start)
            for start in range(0, packed.length, AT_ONCE):
                out.write(file.read(min(AT_ONCE, packed.length - start)))
            out._file_size, out._crc = packed.size, packed.crc

    def writestr(self, name: Any, data: Any, *args: Any, **more: Any) -> None:  # type: ignore[override]
        """Write a member: with our own program name in the properties, with the usual prefixes in a drawing."""
        if name == "docProps/app.xml":
            data = _APP
        elif name.startswith("xl/drawings/drawing"):
            data = _prefixed(data)
        elif name == "docProps/core.xml":
            data = _UNDATED.sub(b"", data)
        super().writestr(self.member(name), data)


def _prefixed(data: bytes | str) -> bytes:
    for prefix, name in PREFIXES.items():
        ElementTree.register_namespace(prefix, name)
    # nothing of the user's: openpyxl wrote it a moment ago
    root = ElementTree.fromstring(data)  # noqa: S314
    return bytes(ElementTree.tostring(root, encoding="UTF-8", xml_declaration=True))


@dataclass(frozen=True)
class _Begun:
    """A sheet of which all is there but its rows: what stands before and after them."""

    before: bytes
    rows: SheetRows
    after: bytes

    def pieces(self) -> Iterable[bytes]:
        """Return the parts of the sheet from top to bottom."""
        return chain((self.before,), self.rows.xml(), (self.after,))

    @property
    def large(self) -> bool:
        """Whether it needs the large form of a zip member."""
        rows, columns = self.rows.extent()
        return rows * columns * BYTES_OF_A_CELL > 1 << 31


class _BookWriter(ExcelWriter):
    """openpyxl's book writer, streaming the rows of each sheet into the archive."""

    def __init__(
        self, book: Workbook, archive: _FixedZip, rows_of: Callable[[str], SheetRows], largest: Sequence[str]
    ) -> None:
        super().__init__(book, archive)
        self.rows_of, self.archive, self.largest = rows_of, archive, largest

    def write_with_largest(self, folder: Path) -> None:
        """Write all parts; the largest sheets come last, whoever packs them."""
        begun = [self._begin(self.workbook[title]) for title in self.largest]
        beside = begun and can_be_beside()
        with packed_beside([b.pieces for b in begun], folder) if beside else nullcontext() as packed:
            self.write_data()
            file, members = packed() if packed else (io.BytesIO(), [])
            names = [self.workbook[title].path[1:] for title in self.largest]
            for name, member, sheet in zip(names, members, begun, strict=bool(members)):
                self.archive.take(name, file, member, sheet.large)
        for name, sheet in () if members else zip(names, begun, strict=True):
            self._write_rows(name, sheet)

    def _begin(self, sheet: Worksheet) -> _Begun:
        rows = self.rows_of(sheet.title)
        sheet._drawing = Described()
        sheet._drawing.charts, sheet._drawing.images = sheet._charts, sheet._images
        writer = _SheetWriter(sheet, rows)
        writer.write()
        before, after = re.split(rb"<rows\s*/>|<rows></rows>", writer.out.getvalue())
        split = _AFTER_IGNORED.search(after)
        if split:
            after = after[: split.start()] + _IGNORED + after[split.start() :]
        sheet._rels = writer._rels
        return _Begun(before, rows, after)

    def _write_rows(self, name: str, begun: _Begun) -> None:
        with self.archive.open(self.archive.member(name), "w", force_zip64=begun.large) as out:
            write_beside(out, begun.pieces())

    def write_worksheet(self, sheet: Worksheet) -> None:
        if sheet.title not in self.largest:
            self._write_rows(sheet.path[1:], self._begin(sheet))
        self.manifest.append(sheet)


def save(
    book: Workbook,
    path: Path,
    rows_of: Callable[[str], SheetRows],
    day: dt.datetime | None = None,
    largest: Sequence[str] = (),
) -> None:
    """Write the workbook.

    Parameters
    ----------
    book
        openpyxl workbook with its sheets.
    path
        File to write, staged by whoever moves it into place.
    rows_of
        Gives the rows of a sheet by its title, and may furnish the sheet then: each is asked for when it is written,
        one after the other, so that the rows of one alone fill the memory.
    day
        Date of creation that the file says; without it the file says none.
    largest
        Titles of sheets that are furnished first, so that their rows may be packed beside all others.
    """
    book.properties.created = book.properties.modified = day or dt.datetime(*STAMP)
    book.properties.creator = "takeoff"
    with path.open("wb") as out, _FixedZip(out, "w", zipfile.ZIP_DEFLATED) as archive:
        _BookWriter(book, archive, rows_of, largest).write_with_largest(path.parent)
