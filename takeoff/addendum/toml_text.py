"""An inputs file as text: values, tables by name, lists of tables."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping

_BARE = re.compile(r"[A-Za-z0-9_-]+")


def toml_text(doc: Mapping[str, object]) -> str:
    """Return what tomllib reads as this document: values first, then tables of values, tables of tables, lists."""
    return "\n".join(_lines(doc)) + "\n" if doc else ""


def _lines(doc: Mapping[str, object]) -> Iterator[str]:
    plain = {n: v for n, v in doc.items() if not isinstance(v, dict) and not _is_list_of_tables(v)}
    yield from (f"{_key(n)} = {_value(v)}" for n, v in plain.items())
    for name, value in doc.items():
        if isinstance(value, dict):
            own = {n: v for n, v in value.items() if not isinstance(v, dict)}
            if own or not value:
                yield from ("", f"[{_key(name)}]", *(f"{_key(n)} = {_value(v)}" for n, v in own.items()))
            for inner, entries in value.items():
                if isinstance(entries, dict):
                    head = f"[{_key(name)}.{_key(inner)}]"
                    yield from ("", head, *(f"{_key(n)} = {_value(v)}" for n, v in entries.items()))
        elif _is_list_of_tables(value):
            for entries in value if isinstance(value, list) else []:
                yield from ("", f"[[{_key(name)}]]", *(f"{_key(n)} = {_value(v)}" for n, v in entries.items()))


def _is_list_of_tables(value: object) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(v, dict) for v in value)


def _key(name: str) -> str:
    return name if _BARE.fullmatch(name) else _value(name)


def _value(value: object) -> str:
    """Return a value; a text of JSON is a text of TOML, but for the one control character that JSON leaves bare."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, list):
        return "[" + ", ".join(_value(v) for v in value) + "]"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_key(str(n))} = {_value(v)}" for n, v in value.items()) + "}"
    return repr(value) if isinstance(value, int | float) else str(value)
