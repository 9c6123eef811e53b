"""What is typed over cells of a workbook, one at a time, in one session of LibreOffice: a macro types, reads, restores.

A recalculation from a cell takes a tenth of a second where a conversion of the file takes ten.
"""

from __future__ import annotations

import os
import subprocess
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from tests import office

CLEARED, NUMBER, TEXT, FORMULA = "clear", "number", "text", "formula"
"""What may be done to a cell."""


@dataclass(frozen=True)
class Typed:
    """What is typed over a cell: a number, a text, a formula, or nothing."""

    sheet: str
    cell: str
    kind: str = CLEARED
    value: str = ""


@dataclass(frozen=True)
class Read:
    """What a cell shows: its text, and whether it is an error."""

    shown: str
    is_error: bool


MACRO = r"""<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE script:module PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "module.dtd">
<script:module xmlns:script="http://openoffice.org/2000/script" script:name="Typing" script:language="StarBasic">
Option Explicit

Sub Main
  Dim hidden(0) As New com.sun.star.beans.PropertyValue
  Dim doc, cell, shown, parts, line, said, old, kind, places(), count, n, into, from, what
  hidden(0).Name = "Hidden"
  hidden(0).Value = True
  doc = StarDesktop.loadComponentFromURL(ConvertToURL(Environ("TYPING_BOOK")), "_blank", 0, hidden())
  from = FreeFile
  Open Environ("TYPING_LINES") For Input As #from
  into = FreeFile
  Open Environ("TYPING_READ") For Output As #into
  Line Input #from, line
  places = Split(line, Chr(9))
  count = UBound(places)
  Print #into, Seen(doc, places, count)
  Do While Not EOF(from)
    Line Input #from, line
    parts = Split(line, Chr(9))
    cell = doc.Sheets.getByName(parts(0)).getCellRangeByName(parts(1))
    what = cell.Type
    If what = com.sun.star.table.CellContentType.VALUE Then old = cell.Value Else old = cell.String
    Select Case parts(2)
      Case "clear": cell.setFormula("")
      Case "number": cell.setValue(Val(parts(3)))
      Case "text": cell.setString(parts(3))
      Case "formula": cell.setFormula(parts(3))
    End Select
    Print #into, Seen(doc, places, count)
    If what = com.sun.star.table.CellContentType.VALUE Then
      cell.setValue(old)
    ElseIf what = com.sun.star.table.CellContentType.EMPTY Then
      cell.setFormula("")
    Else
      cell.setString(old)
    End If
  Loop
  Print #into, Seen(doc, places, count)
  Close #into
  Close #from
  doc.close(True)
  StarDesktop.terminate()
End Sub

Function Seen(doc, places, count)
  Dim n, at, cell, said
  said = ""
  For n = 0 To count Step 2
    cell = doc.Sheets.getByName(places(n)).getCellRangeByName(places(n + 1))
    said = said &amp; IIf(cell.getError() = 0, "=", "!") &amp; Join(Split(cell.getString(), Chr(10)), " ") &amp; Chr(9)
  Next n
  Seen = said
End Function
</script:module>
"""

LIBRARY = """<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE library:library PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "library.dtd">
<library:library xmlns:library="http://openoffice.org/2000/library" library:name="Standard" library:readonly="false"
 library:passwordprotected="false"><library:element library:name="Typing"/></library:library>
"""


def type_over(
    folder: Path, book: Path, typed: Iterable[Typed], places: Sequence[tuple[str, str]], timeout_s: float = 600
) -> list[list[Read]]:
    """Return what cells show: as the file is, after each cell that was typed over, and at the end, all restored.

    Parameters
    ----------
    folder
        For the profile of LibreOffice and the files of the macro.
    book
        A workbook; it is not changed.
    typed
        What is typed; each cell is restored before the next one.
    places
        Sheet and cell of what is read after each.
    """
    lines, read = folder / "typed.txt", folder / "read.txt"
    read.unlink(missing_ok=True)
    head = "\t".join(part for place in places for part in place)
    rows = [f"{t.sheet}\t{t.cell}\t{t.kind}\t{t.value}" for t in typed]
    lines.write_text("\n".join([head, *rows]) + "\n", encoding="utf-8")
    command = [
        str(office.SOFFICE),
        f"-env:UserInstallation={(folder / 'profile').as_uri()}",
        *("--headless", "--norestore", "--nologo"),
        "macro:///Standard.Typing.Main",
    ]
    given = {"TYPING_BOOK": str(book), "TYPING_LINES": str(lines), "TYPING_READ": str(read)}
    for _ in range(2):  # the first run of a profile writes what it ships over the macro
        if not read.exists():
            _install(folder / "profile" / "user" / "basic" / "Standard")
            subprocess.run(command, env={**os.environ, **given}, capture_output=True, timeout=timeout_s, check=False)
    found = read.read_text(encoding="utf-8", errors="replace").splitlines()
    assert len(found) == len(rows) + 2, f"{len(found)} lines read for {len(rows)} typed"
    return [[Read(part[1:], part[0] == "!") for part in line.rstrip("\t").split("\t")] for line in found]


def _install(basic: Path) -> None:
    basic.mkdir(parents=True, exist_ok=True)
    (basic / "Typing.xba").write_text(MACRO)
    (basic / "script.xlb").write_text(LIBRARY)
