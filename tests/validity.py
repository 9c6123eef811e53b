"""Whether a workbook is a valid file: its parts against the published schemas, and what no schema says.

Parts are checked by openxml-audit, a general validator that carries the schemas of ECMA-376 (ISO/IEC 29500)
as data. What stands between parts is checked here by the clauses named: relationships and content types
(part 2, Open Packaging Conventions), tables, names and validations (part 1, clause 18).
"""

from __future__ import annotations

import posixpath
import re
import zipfile
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree

from openpyxl.utils.cell import range_boundaries
from openxml_audit import OpenXmlValidator
from openxml_audit.errors import ValidationSeverity

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
LINK = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
RELATION = "{http://schemas.openxmlformats.org/package/2006/relationships}Relationship"
TYPES = "{http://schemas.openxmlformats.org/package/2006/content-types}"

ORDER_OF_FONTS = re.compile(r"/styleSheet\[1\]/fonts\[1\]/font\[\d+\]")
"""Where the validator asks for an order that the standard does not: CT_Font (18.8.22) is a choice, repeated."""

NAME = re.compile(r"[A-Za-z_\\][A-Za-z0-9_.\\]*")
"""A defined name by 18.2.5; that it is no reference to a cell is checked apart."""

CELL = re.compile(r"\$?[A-Za-z]{1,3}\$?\d{1,7}|[Rr]\d*[Cc]\d*")
LONGEST_LIST = 255
"""Characters of a formula of a validation."""


def faults(path: Path) -> list[str]:
    """Return everything in which a workbook is no valid file."""
    return [*against_schemas(path), *between_parts(path)]


def against_schemas(path: Path) -> Iterator[str]:
    """Yield where a part is not what the published schema has."""
    for error in OpenXmlValidator(max_errors=200).validate(path).errors:
        if error.severity is not ValidationSeverity.ERROR:
            continue
        if error.part_uri == "/xl/styles.xml" and ORDER_OF_FONTS.fullmatch(str(error.path)):
            continue
        yield f"{error.part_uri}: {error.path}: {error.description}"


def between_parts(path: Path) -> Iterator[str]:
    """Yield where parts do not fit one another."""
    with zipfile.ZipFile(path) as archive:
        names = archive.namelist()
        yield from (f"{n}: twice in the package" for n, times in Counter(map(str.casefold, names)).items() if times > 1)
        parts = {name: archive.read(name) for name in names}
    trees = {n: ElementTree.fromstring(b) for n, b in parts.items() if n.endswith((".xml", ".rels"))}
    yield from _types(parts, trees)
    links = {name: dict(_links(name, tree)) for name, tree in trees.items() if name.endswith(".rels")}
    for name, targets in links.items():
        yield from (f"{name}: {key} leads to {t}, which is no part" for key, t in targets.items() if t not in parts)
    reached = {t for targets in links.values() for t in targets.values()}
    yield from (f"{n}: no relationship leads to it" for n in parts if n not in reached and not _of_package(n))
    yield from _ids_used(trees, links)
    yield from _tables(trees, links)
    yield from _names(trees)
    for name, tree in trees.items():
        if name.startswith("xl/worksheets/sheet"):
            yield from _validations(name, tree)
            yield from _cells(name, tree, len(trees["xl/styles.xml"].find(f"{MAIN}cellXfs") or ()))


def _of_package(name: str) -> bool:
    return name.endswith(".rels") or name == "[Content_Types].xml"


def _types(parts: dict[str, bytes], trees: dict[str, ElementTree.Element]) -> Iterator[str]:
    """Part 2, 10.1.2: every part has a content type, by its name or its ending; no type is of a part not there."""
    types = trees["[Content_Types].xml"]
    endings = {str(t.get("Extension")).casefold() for t in types.iter(f"{TYPES}Default")}
    named = {str(t.get("PartName")).removeprefix("/") for t in types.iter(f"{TYPES}Override")}
    for name in parts:
        if name != "[Content_Types].xml" and name not in named and name.rpartition(".")[2].casefold() not in endings:
            yield f"{name}: has no content type"
        if name.endswith(".xml") and not _of_package(name) and name not in named:
            yield f"{name}: has no content type of its own"
    yield from (f"{name}: a content type of no part" for name in named - set(parts))


def _links(name: str, tree: ElementTree.Element) -> Iterator[tuple[str, str]]:
    """Yield the id and the part of each relationship inside the package; part 2, 9.3."""
    folder = posixpath.dirname(posixpath.dirname(name))
    for link in tree.iter(RELATION):
        if link.get("TargetMode") != "External":
            target = str(link.get("Target"))
            yield str(link.get("Id")), posixpath.normpath(posixpath.join("/", folder, target)).removeprefix("/")


def _ids_used(trees: dict[str, ElementTree.Element], links: dict[str, dict[str, str]]) -> Iterator[str]:
    for name, tree in trees.items():
        folder, _, file = name.rpartition("/")
        have = trees.get(f"{folder}/_rels/{file}.rels")
        ids = {str(r.get("Id")) for r in have.iter(RELATION)} if have is not None else set()
        for node in tree.iter():
            if LINK in node.attrib and node.attrib[LINK] not in ids:
                yield f"{name}: {node.attrib[LINK]} is no relationship of it"


def _tables(trees: dict[str, ElementTree.Element], links: dict[str, dict[str, str]]) -> Iterator[str]:
    """18.5.1: names and ids are unique, no two tables overlap, headings are the texts of their cells."""
    names: Counter[str] = Counter()
    ids: Counter[str] = Counter()
    for name, tree in trees.items():
        if not name.startswith("xl/worksheets/sheet"):
            continue
        texts = {c.get("r"): "".join(t.text or "" for t in c.iter(f"{MAIN}t")) for c in tree.iter(f"{MAIN}c")}
        taken: list[tuple[int, int, int, int]] = []
        folder, _, file = name.rpartition("/")
        targets = links.get(f"{folder}/_rels/{file}.rels", {})
        for part in tree.iter(f"{MAIN}tablePart"):
            table = trees[targets[part.attrib[LINK]]]
            title = str(table.get("displayName"))
            names[title.casefold()] += 1
            ids[str(table.get("id"))] += 1
            box = tuple(int(n or 0) for n in range_boundaries(str(table.get("ref"))))
            left, top, right, bottom = box
            columns = [str(c.get("name")) for c in table.iter(f"{MAIN}tableColumn")]
            if len(columns) != right - left + 1:
                yield f"{title}: {len(columns)} columns in {table.get('ref')}"
            if len({c.casefold() for c in columns}) < len(columns):
                yield f"{title}: two columns of one name"
            heads = [texts.get(f"{_letter(n)}{top}", "") for n in range(left, right + 1)]
            if [_plain(c) for c in columns] != [_plain(h) for h in heads]:
                yield f"{title}: its columns are not the headings {heads}"
            for l2, t2, r2, b2 in taken:
                if left <= r2 and l2 <= right and top <= b2 and t2 <= bottom:
                    yield f"{title}: overlaps another table"
            taken.append((left, top, right, bottom))
    yield from (f"table {n}: the name stands twice" for n, times in names.items() if times > 1)
    yield from (f"table id {n}: stands twice" for n, times in ids.items() if times > 1)
    defined = {str(n.get("name")).casefold() for n in trees["xl/workbook.xml"].iter(f"{MAIN}definedName")}
    yield from (f"table {n}: is a defined name too" for n in names if n in defined)


def _plain(text: str) -> str:
    return text.replace("_x000a_", "\n").replace("_x000A_", "\n")


def _letter(number: int) -> str:
    head, tail = divmod(number - 1, 26)
    return (_letter(head) if head else "") + chr(65 + tail)


def _names(trees: dict[str, ElementTree.Element]) -> Iterator[str]:
    """18.2.5: a name is unique in its scope, no reference to a cell, and what it refers to is on a sheet of the book."""
    book = trees["xl/workbook.xml"]
    sheets = [str(s.get("name")) for s in book.iter(f"{MAIN}sheet")]
    yield from (f"sheet {s}: longer than 31 characters" for s in sheets if len(s) > 31)
    yield from (f"sheet {s}: stands twice" for s, t in Counter(map(str.casefold, sheets)).items() if t > 1)
    seen: Counter[tuple[str, str]] = Counter()
    for node in book.iter(f"{MAIN}definedName"):
        name, scope, refers = str(node.get("name")), str(node.get("localSheetId", "")), node.text or ""
        seen[name.casefold(), scope] += 1
        if not name.startswith("_xlnm.") and (not NAME.fullmatch(name) or CELL.fullmatch(name)):
            yield f"name {name}: is no name"
        if scope and int(scope) >= len(sheets):
            yield f"name {name}: of sheet {scope}, which is not there"
        for quoted, plain in re.findall(r"'((?:[^']|'')+)'!|([A-Za-z_][\w.]*)!", refers):
            if (quoted.replace("''", "'") or plain) not in sheets:
                yield f"name {name}: refers to the sheet {quoted or plain}, which is not there"
        if not refers or "#REF!" in refers:
            yield f"name {name}: refers to nothing"
    yield from (f"name {name}: stands twice" for (name, _), times in seen.items() if times > 1)


def _validations(name: str, tree: ElementTree.Element) -> Iterator[str]:
    """18.3.1.32: the count is that of the rules, no cell has two, a list is short enough."""
    holder = tree.find(f"{MAIN}dataValidations")
    if holder is None:
        return
    rules = holder.findall(f"{MAIN}dataValidation")
    if holder.get("count") and int(holder.attrib["count"]) != len(rules):
        yield f"{name}: {len(rules)} validations, counted {holder.attrib['count']}"
    held: list[tuple[int, int, int, int]] = []
    for rule in rules:
        if len(rule.findtext(f"{MAIN}formula1") or "") > LONGEST_LIST:
            yield f"{name}: the list at {rule.get('sqref')} is too long"
        for text in str(rule.get("sqref")).split():
            left, top, right, bottom = (int(n or 0) for n in range_boundaries(text))
            if any(left <= r and x <= right and top <= b and y <= bottom for x, y, r, b in held):
                yield f"{name}: {text} has two validations"
            held.append((left, top, right, bottom))


def _cells(name: str, tree: ElementTree.Element, styles: int) -> Iterator[str]:
    """18.3.1.4 and 18.3.1.73: rows and cells stand in order, each once, in a style that is there."""
    before = 0
    shared: set[str] = set()
    for row in tree.iter(f"{MAIN}row"):
        number, column = int(row.attrib["r"]), 0
        if number <= before:
            yield f"{name}: row {number} stands after row {before}"
        before = number
        for cell in row.iter(f"{MAIN}c"):
            left, top, *_ = range_boundaries(cell.attrib["r"])
            if top != number or int(left or 0) <= column:
                yield f"{name}: {cell.attrib['r']} stands out of order"
            column = int(left or 0)
            if int(cell.get("s", 0)) >= styles:
                yield f"{name}: {cell.attrib['r']} has a style that is not there"
            formula = cell.find(f"{MAIN}f")
            if formula is not None and formula.get("t") == "shared":
                if formula.text:
                    shared.add(formula.attrib["si"])
                elif formula.attrib["si"] not in shared:
                    yield f"{name}: {cell.attrib['r']} shares a formula that is not there"
