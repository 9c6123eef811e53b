"""Carry what was changed by hand in an earlier workbook over to a new build."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from itertools import groupby
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from takeoff.addendum.earlier import Earlier, options_of, rebuild
from takeoff.addendum.edits import Edit, Refused
from takeoff.addendum.lay import INPUT_FILE, lay
from takeoff.addendum.toml_text import toml_text
from takeoff.build import Build, Options, compute, read_job, sources_of
from takeoff.job.sources import CATALOGS, INPUTS, QUOTES, ROOMS, Sources, unfold
from takeoff.text.problems import InputError, said_alone

PLAIN_NUMBER = re.compile(r"-?(0|[1-9]\d{0,14})(\.\d{1,12})?")
"""A number that stands in a file as it is typed."""


@dataclass(frozen=True)
class Carried:
    """A new build with the changes made by hand in an earlier workbook.

    `fresh` is the new build without them; `taken_over` are files and options of the earlier build that were not
    given anew.
    """

    build: Build
    fresh: Build
    earlier: Earlier
    placed: Sequence[Edit]
    refused: Sequence[Refused]
    taken_over: Sequence[str]


@contextmanager
def carried(options: Options, earlier: Earlier) -> Iterator[Carried]:
    """Give the new build with the changes laid over it, whose files are there as long as they are needed.

    Raises
    ------
    InputError
        What is wrong with the new build by itself.
    """
    given = sources_of(options)
    base, taken_over = base_of(given, earlier.build.sources)
    with TemporaryDirectory(prefix="takeoff-") as folder:
        place = _Folder(Path(folder), options, given)
        fresh = compute(place.options(base))
        edits, refused = _not_set(earlier.edits, given.sets)
        laid, placed = base, edits
        for accept in (read_job, compute):
            laid, placed, more = _place(base, placed, fresh, earlier.build, place, accept)
            refused += more
        build = compute(place.options(laid)) if placed else fresh
        yield Carried(build, fresh, earlier, placed, [*refused, *earlier.unread], taken_over)


def base_of(given: Sources, old: Sources) -> tuple[Sources, list[str]]:
    """Return the sources of a new build: what is given, else what the earlier build had; and what that is, in words."""
    said: list[str] = []
    inputs = given.inputs or old.inputs
    doc = tomllib.loads(next(iter(inputs.values()), ""))
    named = {s.partition("=")[0].strip().casefold() for s in given.sets}
    if not given.inputs:
        said += [f"inputs {name}" for name in old.inputs]
    else:
        named |= {name.casefold() for name in doc}
    kept = [s for s in old.sets if s.partition("=")[0].strip().casefold() not in named]
    if kept:
        inputs = {next(iter(inputs), INPUT_FILE): toml_text(with_sets(doc, kept))}
        said += [f"--set {s}" for s in kept]
    said += [f"rooms {name}" for name in old.rooms if not given.rooms]
    said += [f"quote {name}" for name in old.quotes if name not in given.quotes]
    if not given.catalogs and old.catalogs:
        said.append("catalogs " + ", ".join(old.catalogs))
    if not given.plans and old.plans:
        said.append(f"--plans {old.plans}")
    quotes = {**given.quotes, **{n: text for n, text in old.quotes.items() if n not in given.quotes}}
    made = replace(given, inputs=inputs, quotes=quotes, catalogs=given.catalogs or old.catalogs)
    return replace(made, rooms=given.rooms or old.rooms, plans=given.plans or old.plans), said


def with_sets(doc: Mapping[str, Any], sets: Sequence[str]) -> dict[str, Any]:
    """Return what an inputs file holds, with NAME=VALUE texts in it."""
    pairs = (text.partition("=") for text in sets)
    spelled = {name.casefold(): name for name in doc}
    named = {spelled.get(name.strip().casefold(), name.strip()): value.strip() for name, _, value in pairs}
    return {**doc, **{name: _set_value(value) for name, value in named.items()}}


def _set_value(text: str) -> str | float:
    """Return the value of a --set as the inputs file has it."""
    return json.loads(text) if PLAIN_NUMBER.fullmatch(text) else text


def _not_set(edits: Sequence[Edit], sets: Sequence[str]) -> tuple[list[Edit], list[Refused]]:
    """Return the changes that no --set of the new build stands against, and the others."""
    said = {s.partition("=")[0].strip().casefold(): s for s in sets}
    against = {e: said[e.key[0].casefold()] for e in edits if e.column == "value" and e.key[0].casefold() in said}
    return [e for e in edits if e not in against], [
        Refused(e, f"the new build says --set {s}, which counts last") for e, s in against.items()
    ]


def folded(sources: Sources) -> Sources:
    """Return sources in which what --set said stands in the inputs file."""
    if not sources.sets:
        return sources
    name, text = next(iter(sources.inputs.items()), (INPUT_FILE, ""))
    return replace(sources, inputs={name: toml_text(with_sets(tomllib.loads(text), sources.sets))}, sets=())


def place_own(earlier: Earlier) -> tuple[Sources, list[Refused]]:
    """Return the sources of a workbook with what was changed in it by hand, and the changes that no file takes."""
    sources, refused = folded(earlier.build.sources), list[Refused]()
    laid, placed = sources, list(earlier.edits)
    if not placed:
        return laid, refused
    with options_of(sources) as options, TemporaryDirectory(prefix="takeoff-") as folder:
        place = _Folder(Path(folder), options, sources)
        for accept in (read_job, compute):
            laid, placed, more = _place(sources, placed, earlier.build, earlier.build, place, accept)
            refused += more
    return laid, refused


def as_edited(earlier: Earlier) -> Build:
    """Return the build of a workbook as it stands, with what was changed in it by hand."""
    return rebuild(place_own(earlier)[0]) if earlier.edits else earlier.build


@dataclass(frozen=True)
class _Folder:
    """Where sources are written, those of the new build staying where they are."""

    path: Path
    given_options: Options
    given: Sources

    def options(self, sources: Sources) -> Options:
        """Return the options of the new build with these sources in place of its own where they differ."""
        for left in self.path.rglob("*.*"):
            left.unlink()  # of changes that were tried before
        made = unfold(replace(sources, schedule={}, shipped={}), self.path)
        options = replace(self.given_options, plans=sources.plans)
        if sources.inputs != self.given.inputs:
            (path,) = made[INPUTS]
            options = replace(options, inputs=path)
        if sources.rooms != self.given.rooms:
            options = replace(options, rooms=made[ROOMS][0])
        if sources.catalogs != self.given.catalogs:
            options = replace(options, catalogs=self.path / CATALOGS)
        own = {path.name: path for path in self.given_options.quotes}
        paths = {path.name: path for path in made.get(QUOTES, [])}
        quotes = [own[n] if self.given.quotes.get(n) == text else paths[n] for n, text in sources.quotes.items()]
        return replace(options, quotes=tuple(quotes))


def _place(
    base: Sources,
    edits: Sequence[Edit],
    fresh: Build,
    earlier: Build,
    folder: _Folder,
    accept: Callable[[Options], object],
) -> tuple[Sources, list[Edit], list[Refused]]:
    """Return sources with every change that is accepted, those changes, and the others with why.

    All are tried at once. Where that fails, halves are tried, down to a row, and its cells one by one, so that the
    reader of the files itself says what is wrong with which change.
    """
    refused: list[Refused] = []

    def tried(some: Sequence[Edit]) -> str:
        laid, _ = lay(base, some, fresh, earlier)
        try:
            accept(folder.options(laid))
        except InputError as wrong:
            return said_alone(wrong.problems[0])
        return ""

    def added(kept: list[Edit], more: list[Edit]) -> list[Edit]:
        why = tried([*kept, *more])
        if not why:
            return [*kept, *more]
        if len(more) == 1:
            refused.append(Refused(more[0], why))
            return kept
        rows = [list(group) for _, group in groupby(more, key=lambda e: (e.table, e.key))]
        parts = rows if len(rows) > 1 else [[e] for e in more]
        first, second = parts[: len(parts) // 2], parts[len(parts) // 2 :]
        for half in (first, second):
            kept = added(kept, [e for part in half for e in part])
        return kept

    _, without_place = lay(base, edits, fresh, earlier)
    no_place = {r.edit for r in without_place}
    placed = [e for e in edits if e not in no_place]
    placed = added([], placed) if placed else []
    laid, _ = lay(base, placed, fresh, earlier)
    return laid, placed, [*without_place, *refused]
