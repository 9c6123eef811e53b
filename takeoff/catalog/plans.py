"""Plans: what is compared. A plan names constructions in order; a circuit takes the first that may serve it.

A construction is a way of wiring, a plan a preferred construction with its fallbacks: no key is that of both.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import chain, count

from takeoff.catalog.rows import NAME, RESERVED, Catalogs, Row
from takeoff.text.problems import Problems, nearest

BEST_MIX, BEST_MIX_TITLE = "best-mix", "best mix"
"""The plan that wires each circuit in the cheapest of what the other plans compared wire it in."""

CONVENTION = "convention"

PATTERN = re.compile(r"[*?~]|^[<>=]")
"""What a spreadsheet takes for more than letters where it looks a text up."""


@dataclass(frozen=True)
class Plan:
    """A preferred construction and its fallbacks, in order.

    `by_circuit` names the construction of each circuit, by its key, where a plan is not the same for all of them.
    """

    key: str
    title: str
    members: Sequence[str]
    by_circuit: Mapping[str, str] = field(default_factory=dict)

    def members_for(self, circuit_key: str) -> Sequence[str]:
        """Return the constructions to try for a circuit, in order."""
        return [self.by_circuit[circuit_key]] if circuit_key in self.by_circuit else self.members


def titles_of(plans: Sequence[Plan]) -> list[str]:
    """Return what plans are called; where two have one title, or one is a pattern to a lookup, their keys."""
    titles = [plan.title.casefold() for plan in plans]
    plain = len(set(titles)) == len(titles) and not any(map(PATTERN.search, titles))
    return [plan.title if plain else plan.key for plan in plans]


def construction_titles(catalogs: Catalogs, constructions: Iterable[str]) -> dict[str, str]:
    """Return what constructions are called; one without a title of its own, or that is a pattern, by its key."""
    titles = {c: str(catalogs["constructions"][c]["short_title"]) for c in constructions}
    count = Counter(title.casefold() for title in (*titles.values(), *titles))
    return {c: c if t == "-" or count[t.casefold()] > 1 or PATTERN.search(t) else t for c, t in titles.items()}


def with_every_construction(catalogs: Catalogs) -> Catalogs:
    """Return the catalogs with a plan more for every construction that no plan prefers; in it, it stands alone."""
    constructions = catalogs["constructions"]
    rows: dict[str, Row] = {}
    for row in constructions:
        key = str(row["key"])
        if not preferring(key, catalogs):
            names = chain([f"{key}-first"], (f"{key}-first-{n}" for n in count(2)))
            taken = {*rows, *(k.casefold() for k in (*catalogs["plans"].keys, *constructions.keys))}
            name = next(n for n in names if n.casefold() not in taken)
            rows[name.casefold()] = _plan_row(name, name, [key], CONVENTION)
    return _with_plans(catalogs, rows.values())


def preferring(construction: str, catalogs: Catalogs) -> list[str]:
    """Return the plans that prefer a construction."""
    return [str(plan["key"]) for plan in catalogs["plans"] if construction in str(plan["members"]).split()[:1]]


def with_best_mix(catalogs: Catalogs, members: Sequence[str] = ()) -> Catalogs:
    """Return the catalogs with the best mix; comparing the others finds its members, at first they are all."""
    row = _plan_row(BEST_MIX, BEST_MIX_TITLE, members or catalogs["constructions"].keys, CONVENTION)
    return _with_plans(catalogs, [row])


def with_own_plans(catalogs: Catalogs, own: object, file: str) -> Catalogs:
    """Return the catalogs with the plans of the inputs file; what is no table is reported where its inputs are.

    Parameters
    ----------
    own
        The table `plans` of the file: constructions in order by name, as a list or as one text.
    file
        Name of the inputs file, for messages.

    Raises
    ------
    InputError
        A name that is taken or no key, a construction that is unknown or stands twice.
    """
    if not isinstance(own, dict):
        return catalogs
    problems = Problems(file)
    constructions = catalogs["constructions"]
    for name, value in own.items():
        column = f"plans.{name}"
        members = _members(value)
        for wrong in _wrong_names(name, catalogs):
            problems.error(None, column, name, *wrong)
        if not members:
            problems.error(None, column, "", "names no constructions", "a list of them, the preferred one first")
        for member in dict.fromkeys(members):
            if member not in constructions:
                accepted = nearest(member, constructions.keys)
                problems.error(None, column, member, "is not a construction of the catalog:", accepted)
            elif [m.casefold() for m in members].count(member.casefold()) > 1:
                problems.error(None, column, member, "stands twice:", "each construction once")
    problems.stop_on_errors()
    spelled = {name: [str(constructions[m]["key"]) for m in _members(value)] for name, value in own.items()}
    source = f"inputs file {file}"
    return _with_plans(catalogs, [{**_plan_row(n, n, m, source), "default": 1} for n, m in spelled.items()])


def _wrong_names(name: str, catalogs: Catalogs) -> Iterator[tuple[str, str]]:
    """Yield what speaks against the name of a plan, and what would be accepted."""
    if name.casefold() in RESERVED:
        yield "is a word with a meaning of its own:", "another name"
    elif not NAME.fullmatch(name):
        yield "is not a key:", "letters, digits and . _ / - only"
    for taken, what in (("constructions", "construction"), ("plans", "plan")):
        if name in catalogs[taken]:
            yield f"is a {what} of the catalog:", "another name"


def _names_in(text: str) -> list[str]:
    """Return the names or titles of plans in a text that joins them by commas, as they are typed."""
    return [n.strip() for n in text.split(",") if n.strip()]


def with_named_mix(text: str, catalogs: Catalogs) -> Catalogs:
    """Return the catalogs with the best mix where a text names it."""
    named = any(name.casefold() in (BEST_MIX, BEST_MIX_TITLE) for name in _names_in(text))
    return with_best_mix(catalogs) if named else catalogs


def choose_plans(text: str, catalogs: Catalogs) -> list[Plan]:
    """Return the plans to compare; where none is named those that compare by default, or else all.

    Parameters
    ----------
    text
        Keys of plans or their titles, joined by commas.
    catalogs
        Every catalog; its plans are those that may be chosen.

    Raises
    ------
    InputError
        A name is unknown or stands twice, or a title is that of two plans.
    """
    known = catalogs["plans"]
    problems = Problems("--plans")
    chosen: list[str] = []
    for name in _names_in(text):
        keys = plans_named(name, catalogs)
        if not keys:
            problems.error(None, "", name, *_unknown(name, catalogs))
        elif len(keys) > 1:
            problems.error(None, "", name, "is the title of more than one plan:", f"one of {', '.join(keys)}")
        elif keys[0] in chosen:
            problems.error(None, "", name, "stands twice:", "each one once")
        else:
            chosen += keys
    if chosen == [BEST_MIX] and not problems.found:
        problems.error(
            None,
            "",
            BEST_MIX,
            "needs plans to choose from:",
            "name them before it, such as ac-first,mc-wire-first,best-mix",
        )
    problems.stop_on_errors()
    rows = [known[n] for n in chosen] or [row for row in known if row["default"]] or list(known)
    return [Plan(str(r["key"]), str(r["title"]), str(r["members"]).split()) for r in rows]


def plans_named(name: str, catalogs: Catalogs) -> list[str]:
    """Return the keys of the plans that have a name for their key, or else for their title: none, one or more."""
    known = catalogs["plans"]
    if name in known:
        return [str(known[name]["key"])]
    return [str(row["key"]) for row in known if str(row["title"]).casefold() == name.casefold()]


def shown_plans(catalogs: Catalogs) -> list[str]:
    """Return how a plan may be named: its key, with its title behind it where that is another."""
    pairs = [(str(row["key"]), str(row["title"])) for row in catalogs["plans"]]
    return [key if title == key else f"{key} ({title})" for key, title in pairs]


def _unknown(name: str, catalogs: Catalogs) -> tuple[str, str]:
    """Return what is wrong with a name that is no plan, and what would be accepted."""
    constructions = catalogs["constructions"]
    if name not in constructions:
        return "is not a plan:", nearest(name, shown_plans(catalogs))
    plans = ", ".join(preferring(str(constructions[name]["key"]), catalogs))
    return "is a construction, not a plan:", f"a plan that prefers it: {plans}"


def chosen_pair(inputs: Mapping[str, object], names: tuple[str, str], compared: Sequence[str]) -> dict[str, str]:
    """Return two different plans that inputs choose; one that is not compared gives way to the first that is.

    Parameters
    ----------
    inputs
        Every input by name.
    names
        Names of the two inputs.
    compared
        Keys of the plans compared, in order.
    """
    wanted = [str(inputs[name]) for name in names]
    chosen: list[str] = []
    for place, plan in enumerate(wanted):
        taken = {*chosen, *(other for other in wanted[place + 1 :] if other in compared)}
        free = [key for key in compared if key not in taken]
        chosen.append(plan if plan in compared else [*free, *compared][0])
    return dict(zip(names, chosen, strict=True))


def _members(value: object) -> list[str]:
    if isinstance(value, dict):
        return []
    parts = value if isinstance(value, list) else str(value).split()
    return [str(part).strip() for part in parts]


def _plan_row(key: str, title: str, members: Sequence[str], source: str) -> Row:
    return {"key": key, "plan": key, "title": title, "members": " ".join(members), "source": source, "default": 0}


def _with_plans(catalogs: Catalogs, rows: Iterable[Row]) -> Catalogs:
    return {**catalogs, "plans": catalogs["plans"].laid_over(rows)}
