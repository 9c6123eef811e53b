"""The words of the trade: what an alias stands for, which were taken, and what is offered for a word not known.

An alias is a row of `aliases.csv`. It is taken only where it is the same word: case, spaces, punctuation and
an s at the end make no difference. What only resembles a known word is never taken; it gets candidates.
"""

from __future__ import annotations

import difflib
import re
from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from math import log

from takeoff.catalog.rows import Catalog, Catalogs, Row
from takeoff.job.records import BOX_COLUMNS, CIRCUIT_COLUMNS, fact_columns
from takeoff.text.problems import InputError, Problem, Problems, nearest

POLES = "{poles}"
"""Stands in what an alias of a device means for the poles of its circuit."""

SAID = {
    "device": "devices",
    "space": "spaces",
    "box_style": "box_styles",
    "construction": "constructions",
}
"""Kinds of alias that stand for a key, with the catalog of the key."""

FIXED = {"from": ("panel", "above"), "unit": ("ft", "in", "m"), "yes_no": ("yes", "no")}
"""Kinds of alias that stand for a word of ours."""

SAME_WORD = 0.8
"""Two words of four letters or more that are so much alike are one word misspelt: `recepticle`."""

NUMBER = 0.3
"""A number says little of what a word is, beside what its other words say."""

OFFERED = 3
"""Candidates offered for a word that is not known."""


@lru_cache(maxsize=4096)
def bare(text: str) -> str:
    """Return a word without regard to case, spaces, punctuation and an s at its end."""
    only = re.sub(r"[^\w+]|_", "", text.casefold())
    return only[:-1] if only.endswith("s") and len(only) > 2 else only


def tokens(text: str) -> list[str]:
    """Return the words of a text, each as `bare` spells it."""
    return [bare(word) for word in re.findall(r"[^\W_]+", text.casefold())]


@dataclass
class Taken:
    """An alias that was taken: where first, how it was spelled there, what it means, and on how many rows."""

    row: int
    column: str
    text: str
    means: str
    rows: int = 0


@dataclass
class Words:
    """The aliases by kind and bare word, those that were taken, and what was offered for words not known."""

    catalogs: Catalogs
    known: Mapping[str, Mapping[str, str]]
    taken: dict[tuple[str, str], Taken] = field(default_factory=dict)
    offered: dict[tuple[str, str, int], str] = field(default_factory=dict)

    def means(self, kind: str, text: str) -> str:
        """Return what an alias stands for; nothing where there is none."""
        return self.known.get(kind, {}).get(bare(text), "")

    def key_of(self, kind: str, text: str) -> str:
        """Return the key that a text is, or nothing: an alias may stand for several, joined by +."""
        catalog = self.catalogs[SAID[kind]]
        return str(catalog[text]["key"]) if text in catalog else self.means(kind, text)

    def take(self, row: int, column: str, text: str, means: str) -> None:
        """Remember that an alias was taken, to tell it once; a key in another spelling is none."""
        if bare(text) == bare(means):
            return
        taken = self.taken.setdefault((column, bare(text)), Taken(row, column, text, means))
        taken.rows += 1

    def tell(self, problems: Problems) -> None:
        """Add a notice for each alias taken, in order of appearance."""
        for one in self.taken.values():
            where = f" on {one.rows} rows" if one.rows > 1 else ""
            means = one.means
            if POLES in means:
                means = (
                    ", ".join(means.replace(POLES, str(poles)) for poles in (1, 2, 3)) + " by the poles of the circuit"
                )
            problems.notice(one.row, one.column, one.text, f"taken as {means}{where}:")


def load_words(catalogs: Catalogs) -> Words:
    """Return the aliases of a job, for the kinds of the catalog `aliases`.

    Raises
    ------
    InputError
        Rows that stand for nothing known, and words that stand for two things; by file and row.
    """
    known = {kind: {bare(key): key for key in catalogs[catalog].keys} for kind, catalog in SAID.items()}
    found: list[Problem] = []
    for row in catalogs["aliases"]:
        kind, alias, means = (str(row[name]) for name in ("kind", "alias", "means"))
        accepted = _accepted(kind, catalogs)
        wrong = [m for m in _meant(kind, means) if m.casefold() not in accepted]
        if wrong:
            found.append(_wrong(row, "means", f"is nothing that an alias of the kind {kind} stands for:", accepted))
        means = _spelled(kind, means, catalogs)
        first = known.setdefault(kind, {}).setdefault(bare(alias), means)
        if first != means:
            place = str(row["_file"]), int(str(row["_row"]))
            found.append(Problem(*place, "alias", alias, f"stands for {first} too:", "one meaning for each word"))
    if found:
        raise InputError(found)
    for kind, catalog in SAID.items():
        known[kind] = _titles(catalogs[catalog]) | known[kind]
    return Words(catalogs, known)


def _spelled(kind: str, means: str, catalogs: Catalogs) -> str:
    """Return what an alias means as we spell it."""
    if kind not in SAID:
        return means.casefold()
    catalog = catalogs[SAID[kind]]
    return "+".join(str(catalog[part]["key"]) if part in catalog else part for part in means.split("+"))


def _titles(catalog: Catalog) -> dict[str, str]:
    """Return the keys of a catalog by the bare word of their title, where no two have the same."""
    titles = Counter(bare(str(row["title"])) for row in catalog)
    keys = {bare(str(row["title"])): str(row["key"]) for row in catalog}
    return {title: key for title, key in keys.items() if titles[title] == 1}


def _accepted(kind: str, catalogs: Catalogs) -> set[str]:
    columns = (*BOX_COLUMNS, *CIRCUIT_COLUMNS, *fact_columns(catalogs))
    words = FIXED.get(kind) or (catalogs[SAID[kind]].keys if kind in SAID else columns)
    return {word.casefold() for word in words}


def _meant(kind: str, means: str) -> list[str]:
    if kind != "device":
        return [means]
    return [part.replace(POLES, str(poles)) for part in means.split("+") for poles in (1, 2, 3)]


def _wrong(row: Row, column: str, message: str, accepted: Iterable[str]) -> Problem:
    place = str(row["_file"]), int(str(row["_row"]))
    return Problem(*place, column, str(row[column]), message, nearest(str(row[column]), sorted(accepted)))


def candidates(words: Words, kind: str, text: str, poles: int = 0) -> str:
    """Return what may have been meant by a word that is not known; see `_candidates`. Each word is weighed once."""
    asked = kind, bare(text), poles
    if asked not in words.offered:
        words.offered[asked] = _candidates(words, kind, text, poles)
    return words.offered[asked]


def _candidates(words: Words, kind: str, text: str, poles: int) -> str:
    """Return what may have been meant by a word that is not known: keys whose words it shares, the rarest first.

    Parameters
    ----------
    words
        The aliases; those of a key are its words too, beside its title.
    kind
        `device`, `space`, `box_style` or `construction`.
    text
        What the user wrote.
    poles
        Of the circuit: devices that connect as many hots come first; 0 where it makes no difference.
    """
    catalog = words.catalogs[SAID[kind]]
    said = {str(row["key"]): set(tokens(f"{row['key']} {row['title']}")) for row in catalog}
    for row in words.catalogs["aliases"]:
        if row["kind"] == kind:
            for key in {part.replace(POLES, str(poles or 1)) for part in str(row["means"]).split("+")} & said.keys():
                said[key] |= set(tokens(str(row["alias"])))
    often = Counter(word for own in said.values() for word in own)
    asked = {word for one in tokens(text) for word in _same(one, often)}
    weights = {word: log(1 + len(said) / often[word]) * (NUMBER if word.isdigit() else 1) for word in asked}
    scores = {key: sum(weights[word] for word in asked & own) for key, own in said.items()}
    if poles and kind == "device":
        for row in catalog:
            scores[str(row["key"])] *= 1.2 if str(row["roles"]).split().count("hot") == poles else 1
    best = sorted((key for key, score in scores.items() if score), key=lambda key: -scores[key])[:OFFERED]
    near = [key for key in best if scores[key] > scores[best[0]] / 2]
    if near:
        return "did you mean " + " or ".join(f"{key} ({catalog[key]['title']})" for key in near) + "?"
    if kind == "device":
        return "accepted: " + "; ".join(f"{of}: {', '.join(keys)}" for of, keys in _by_kind(catalog).items())
    return nearest(text, catalog.keys)


def _same(word: str, known: Collection[str]) -> list[str]:
    """Return the known words that a word is, misspelt where it is long enough to tell."""
    if word in known or len(word) < 4:
        return [word] if word in known else []
    return difflib.get_close_matches(word, list(known), 1, SAME_WORD)


def _by_kind(devices: Iterable[Row]) -> dict[str, list[str]]:
    kinds: dict[str, list[str]] = {}
    for row in devices:
        kinds.setdefault(str(row["device_kind"]), []).append(str(row["key"]))
    return kinds
