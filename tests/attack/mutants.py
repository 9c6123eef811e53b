"""Flip cells of the rule and code catalogs one at a time; a deterministic test must fail for each.

    python -m tests.attack.mutants N SEED

N cells drawn by SEED; 0 for all. The tests are those of `tests/catalog` that take the catalogs alone, and the
check that rows fit together, run in this process. Survivors are printed by column, then one by one; exit 1 if any.
"""

from __future__ import annotations

import inspect
import random
import sys
from collections import Counter
from collections.abc import Callable, Iterator

from takeoff.catalog.crosscheck import crosscheck
from takeoff.catalog.load import load_catalogs
from takeoff.catalog.rows import KEY, Catalogs, ColumnRule, Row
from tests.catalog import test_catalogs, test_code_rows, test_sources

MUTATED = (
    *("rules", "allowances", "ambient", "adjustments", "answers", "box_sizes", "cautions", "checks", "conductors"),
    *("connections", "constructions", "egc_rules", "egc_sizes", "fill_parts", "fitting_rules", "short_time"),
    *("space_rules", "metals", "systems", "spaces", "facts", "outcomes", "stops", "breakers", "breaker_bands"),
)
"""Catalogs of rules and of the code. What a job is priced and timed by is for the tests of the model."""

UNTOUCHED = ("title", "section", "reason", "question")
"""Columns of words that name or explain; what they say has no second copy."""

NOTHING_WRONG = "Nothing to look for: all is well."


def flipped(value: object, rule: ColumnRule) -> object:
    """Return another value that the column would accept, for a text a reassuring one."""
    kind, _, rest = rule.kind.partition(" ")
    if kind == "flag":
        return 1 - int(str(value))
    if kind in ("one", "words"):
        return next(w for w in rest.split() if w != value)
    if isinstance(value, int | float):
        return value + 1 if kind == "whole" or not value else value * 1.1
    if str(value) in ("meets", "fails", "look"):
        return "fails" if value == "meets" else "meets"
    return NOTHING_WRONG


def cells(catalogs: Catalogs) -> Iterator[tuple[str, Row, ColumnRule]]:
    """Yield every cell that is flipped: its catalog, its row, its column."""
    for name in MUTATED:
        for row in catalogs[name]:
            for rule in catalogs[name].columns:
                plain = KEY not in rule.part and rule.column not in UNTOUCHED and not rule.column.endswith("source")
                if plain and row.get(rule.column, "") != "" and rule.column != "editions":
                    yield name, row, rule


def deterministic() -> list[Callable[[Catalogs], object]]:
    """Return the tests that need the catalogs alone."""
    found: list[Callable[[Catalogs], object]] = [crosscheck]
    for module in (test_catalogs, test_code_rows, test_sources):
        for name, test in vars(module).items():
            if name.startswith("test_") and list(inspect.signature(test).parameters) == ["catalogs"]:
                found.append(test)
    copied = test_sources.test_a_value_that_equals_a_published_copy_cites_what_the_copy_does
    return [*found, *(lambda c, case=case: copied(c, *case) for case in test_sources.COPIES)]


def killed(catalogs: Catalogs, tests: list[Callable[[Catalogs], object]]) -> bool:
    """Return whether any of the tests fails; the one that does is tried first next time."""
    for place, test in enumerate(tests):
        try:
            test(catalogs)
        except Exception:  # whatever a wrong cell raises
            tests.insert(0, tests.pop(place))
            return True
    return False


def survivors(number: int, seed: int) -> tuple[int, list[tuple[str, str, str]]]:
    """Return how many cells were flipped, and those that no test noticed: catalog, key, column."""
    catalogs, tests = load_catalogs(), deterministic()
    assert not killed(catalogs, tests), "a test fails without a mutant"
    chosen = list(cells(catalogs))
    if number:
        chosen = random.Random(seed).sample(chosen, min(number, len(chosen)))
    left = []
    for name, row, rule in chosen:
        before = row[rule.column]
        row[rule.column] = flipped(before, rule)
        if not killed(catalogs, tests):
            left.append((name, str(row["key"]), rule.column))
        row[rule.column] = before
    return len(chosen), left


def main(number: int = 60, seed: int = 0) -> int:
    """Print how many mutants survive, and which."""
    count, left = survivors(number, seed)
    print(f"{count} mutants, {len(left)} survive ({100 * len(left) / count:.1f} %)")
    for (name, column), times in Counter((n, c) for n, _, c in left).most_common():
        print(f"  {name}.{column}: {times}")
    for line in left[:200]:
        print("    " + " ".join(line))
    return 1 if left else 0


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:])))
