"""LibreOffice as an independent evaluator of our workbooks.

A workbook that carries values is not recalculated by default: the profile forces it, and the values are
poisoned first, so that a cell that was not recalculated cannot pass.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TypeGuard
from xml.etree import ElementTree

from openpyxl.formula.translate import Translator

SOFFICE = shutil.which("soffice") or shutil.which("libreoffice")
_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_LINK = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}"
POISON = "-98765.4321"
_VALUE_OF_FORMULA = re.compile(rb"(</f>|<f [^>]*/>)<v>[^<]*</v>")
"""The formula stands in the cell, or the cell names the shared formula of its column."""
_FORCE = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema"
 xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse">
<value>0</value></prop></item></oor:items>"""


def convert(profile: Path, files: Iterable[Path], kind: str, out: Path) -> None:
    """Convert files with one run of LibreOffice; formulas are recalculated on loading."""
    user = profile / "user"
    if not user.exists():
        user.mkdir(parents=True)
        (user / "registrymodifications.xcu").write_text(_FORCE)
    command = [str(SOFFICE), f"-env:UserInstallation={profile.as_uri()}", "--headless", "--convert-to", kind]
    done = subprocess.run(
        [*command, "--outdir", str(out), *map(str, files)], capture_output=True, text=True, timeout=600
    )
    missing = [f.name for f in files if not (out / f.with_suffix("." + kind.partition(":")[0]).name).exists()]
    assert not missing, f"not converted: {missing}: {done.stdout} {done.stderr}"


def poison(source: Path, target: Path) -> int:
    """Copy a workbook with every formula's value replaced; return how many there were."""
    count = 0
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            data = old.read(name)
            if name.startswith("xl/worksheets/sheet"):
                data, found = _VALUE_OF_FORMULA.subn(rb"\1<v>%s</v>" % POISON.encode(), data)
                count += found
            new.writestr(name, data)
    return count


@dataclass(frozen=True)
class Cell:
    """A cell of the file, with the formula that it has of its own or shares, moved to its row."""

    value: object
    formula: str


def cells(path: Path) -> dict[tuple[str, str], Cell]:
    """Return every cell of a workbook that has a value or a formula, by sheet and place."""
    found: dict[tuple[str, str], Cell] = {}
    with zipfile.ZipFile(path) as archive:
        shared = _shared(archive)
        for title, part in _sheets(archive):
            formulas: dict[str, Translator] = {}
            with archive.open(part) as stream:
                for _, node in ElementTree.iterparse(stream):
                    if node.tag == f"{_MAIN}c":
                        value, formula = _value(node, shared), _formula(node, formulas)
                        if value is not None or formula:
                            found[title, node.attrib["r"]] = Cell(value, formula)
                        node.clear()
    return found


def _sheets(archive: zipfile.ZipFile) -> Iterator[tuple[str, str]]:
    book = ElementTree.fromstring(archive.read("xl/workbook.xml"))
    links = ElementTree.fromstring(archive.read("xl/_rels/workbook.xml.rels"))
    target = {link.attrib["Id"]: link.attrib["Target"].removeprefix("/xl/") for link in links}
    for sheet in book.iter(f"{_MAIN}sheet"):
        yield sheet.attrib["name"], "xl/" + target[sheet.attrib[f"{_LINK}id"]]


def _shared(archive: zipfile.ZipFile) -> list[str]:
    if "xl/sharedStrings.xml" not in archive.namelist():
        return []
    strings = ElementTree.fromstring(archive.read("xl/sharedStrings.xml"))
    return ["".join(t.text or "" for t in item.iter(f"{_MAIN}t")) for item in strings]


def _formula(node: ElementTree.Element, formulas: dict[str, Translator]) -> str:
    """Return the formula of a cell; what cells share is kept by its number and moved by openpyxl's translator."""
    found, place = node.find(f"{_MAIN}f"), node.attrib["r"]
    if found is None:
        return ""
    number = found.attrib.get("si", "")
    if number and not found.text:
        return str(formulas[number].translate_formula(place)).removeprefix("=")
    if number:
        assert number not in formulas, f"{place}: a second shared formula {number}"
        formulas[number] = Translator(f"={found.text}", place)
    return found.text or ""


def _value(node: ElementTree.Element, shared: list[str]) -> object:
    kind, value = node.attrib.get("t", "n"), node.find(f"{_MAIN}v")
    if kind == "inlineStr":
        return "".join(t.text or "" for t in node.iter(f"{_MAIN}t"))
    if value is None or value.text is None:
        return "" if value is not None and kind == "str" else None
    return {"s": lambda v: shared[int(v)], "n": float, "b": lambda v: v == "1"}.get(kind, str)(value.text)


def values(path: Path) -> dict[tuple[str, str], object]:
    """Return the value of every cell of a workbook that has one, by sheet and place."""
    return {place: cell.value for place, cell in cells(path).items() if cell.value is not None}


def formulas(path: Path) -> dict[tuple[str, str], str]:
    """Return the formula of every formula cell, by sheet and place."""
    return {place: cell.formula for place, cell in cells(path).items() if cell.formula}


def differences(
    ours: dict[tuple[str, str], object], theirs: dict[tuple[str, str], object], cells: Iterable[tuple[str, str]]
) -> Iterator[str]:
    """Yield the cells whose values differ by more than 1e-9, relative; an empty text is not 0, nothing is neither."""
    for cell in cells:
        mine, other = ours.get(cell), theirs.get(cell)
        if _is_number(mine) and _is_number(other):
            if abs(mine - other) > 1e-9 * max(1.0, abs(mine), abs(other)):
                yield f"{cell}: {mine!r} and {other!r}"
        elif type(mine) is not type(other) or mine != other:
            yield f"{cell}: {mine!r} and {other!r}"


def _is_number(value: object) -> TypeGuard[int | float]:
    return isinstance(value, int | float) and not isinstance(value, bool)


def letters(pdf: Path) -> list[list[float]]:
    """Return the sizes of letters that a printed file sets, in points, page by page; pages without one are left out."""
    found = []
    for stream in re.findall(rb"stream\r?\n(\x78.*?)endstream", pdf.read_bytes(), re.DOTALL):
        try:  # what follows the packed bytes is an end of line, which may look like one of them
            drawn = zlib.decompressobj().decompress(stream)
        except zlib.error:
            continue
        found.append([float(size) for size in re.findall(rb"/F\d+ ([\d.]+) Tf", drawn)])
    return [sizes for sizes in found if sizes]
