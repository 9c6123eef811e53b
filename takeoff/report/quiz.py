"""The quiz of the training pack: questions drawn by rule from the catalog, answers from the tables."""

from __future__ import annotations

from dataclasses import dataclass

from takeoff.build import Build
from takeoff.catalog.rows import Catalogs, Row
from takeoff.catalog.sources import cited
from takeoff.engine.tables import Book
from takeoff.report.training import facts_of, features, rows_of

QUESTIONS = 10
"""Questions of a quiz."""

OF_THE_JOB = ("isolated-ground", "shared-neutral")
"""What a question may be about that not every job has; others are asked first where it has not."""


@dataclass(frozen=True)
class Question:
    """A question of the quiz, its answer, and where that comes from."""

    text: str
    answer: str
    source: str


def quiz(build: Build) -> list[Question]:
    """Return the first questions of the catalog that hold for what the crew learns, with their answers."""
    book, catalogs = build.book, build.catalogs
    old, new = (_side(book, line) for line in range(2))
    row = catalogs["constructions"][new["wired_as"]]
    has = features(row) | ({"other-fitting"} if float(new["new_fitting"]) else set()) | _of_the_job(build)
    outcome = _outcome(book, int(float(new["rule_row"])))
    place = list(book.values("types", "type")).index(new["type"])
    facts = {
        **facts_of(catalogs, new["wired_as"]),
        "to": str(row["title"]),
        "old": str(catalogs["constructions"][old["wired_as"]]["title"]),
        "old_marking": old["marking"],
        "old_outcome": outcome[0],
        "old_section": outcome[1],
        "what": f"{new['type']}, {book.values('types', 'description')[place]}",
        "egc_ends": f"{float(new['egc_ends']):.0f}",
        "grounds": f"{float(new['ground_terminations']):.0f}",
        "old_grounds": f"{float(old['ground_terminations']):.0f}",
    }
    asked = rows_of(catalogs, has, "quiz")[:QUESTIONS]
    asked += [r for r in rows_of(catalogs, has | set(OF_THE_JOB), "quiz") if r not in asked][: QUESTIONS - len(asked)]
    return [
        Question(str(q["text"]).format_map(facts), str(q["answer"]).format_map(facts), _cited(catalogs, q))
        for q in asked
    ]


def _of_the_job(build: Build) -> set[str]:
    """Return what boxes of the job have that not every job has."""
    made = [m for m in build.types.by_key.values() if m.place == "box"]
    found = (any(m.isolated_ends for m in made), any(m.shared_neutral for m in made))
    return {word for word, there in zip(OF_THE_JOB, found, strict=True) if there}


def _cited(catalogs: Catalogs, row: Row) -> str:
    """Return the source of a row in words: who and what it is by the first parts of its title, and the section."""
    titles = {str(r["key"]): ", ".join(str(r["title"]).split(", ")[:2]) for r in catalogs["sources"]}
    return "; ".join(
        f"{titles.get(part.source, '')} {part.section}".strip()
        for part in cited(str(row["source"]), catalogs["sources"])
    )


def _outcome(book: Book, row: int) -> tuple[str, str]:
    """Return the outcome of the rule on the old fitting, in words, and its section."""
    if not row:
        return "No rule of the catalog says so", "take it for no"
    words = {"meets": "Yes, it meets", "fails": "No, it fails"}
    outcome = str(book.values("fitting_rules", "outcome")[row - 1])
    return words.get(outcome, "Only if its carton names this cable too"), str(
        book.values("fitting_rules", "section")[row - 1]
    )


def _side(book: Book, line: int) -> dict[str, str]:
    names = ("type", "wired_as", "marking", "new_fitting", "rule_row", "egc_ends", "ground_terminations")
    return {name: str(book.values("crew_boxes", name)[line]) for name in names}
