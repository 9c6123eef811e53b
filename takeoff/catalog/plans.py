"""Plans: what is compared. A plan names constructions in order; a circuit takes the first that may serve it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from takeoff.catalog.rows import NAME, RESERVED, Catalogs, Row
from takeoff.text.problems import Problems, nearest

BEST_MIX = "best-mix"
"""The plan that wires each circuit in the cheapest of what the other plans compared wire it in."""

CONVENTION = "convention of this project, see counting rules on the sheet About"


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


def complete_plans(catalogs: Catalogs) -> None:
    """Give every construction without a plan of its name one in which it stands alone."""
    for row in catalogs["constructions"]:
        if str(row["key"]) not in catalogs["plans"]:
            _lay(catalogs, str(row["key"]), str(row["title"]), [str(row["key"])], CONVENTION)


def add_best_mix(catalogs: Catalogs) -> None:
    """Add the best mix to the plans; what it wires each circuit in is found by comparing the others."""
    _lay(catalogs, BEST_MIX, "Cheapest for each circuit, as on the build", catalogs["constructions"].keys, CONVENTION)


def add_plans(catalogs: Catalogs, own: Mapping[str, object], file: str) -> None:
    """Add the plans of the inputs file to the catalog of plans.

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
    problems = Problems(file)
    constructions = catalogs["constructions"]
    for name, value in own.items():
        column = f"plans.{name}"
        members = _members(value)
        if not NAME.fullmatch(name) or name.casefold() in RESERVED:
            problems.error(None, column, name, "is not a key:", "letters, digits and . _ / - only")
        if name in catalogs["plans"]:
            problems.error(None, column, name, "is a plan of the catalog:", "another name")
        if not members:
            problems.error(None, column, "", "names no constructions", "a list of them, the preferred one first")
        for member in dict.fromkeys(members):
            if member not in constructions:
                accepted = nearest(member, constructions.keys)
                problems.error(None, column, member, "is not a construction of the catalog:", accepted)
            elif [m.casefold() for m in members].count(member.casefold()) > 1:
                problems.error(None, column, member, "stands twice:", "each construction once")
    problems.stop_on_errors()
    for name, value in own.items():
        members = [str(constructions[m]["key"]) for m in _members(value)]
        _lay(catalogs, name, "plan of the inputs file", members, f"inputs file {file}")


def names_in(text: str) -> list[str]:
    """Return the names of plans in a text that joins them by commas."""
    return [n.strip().casefold() for n in text.split(",") if n.strip()]


def choose_plans(text: str, catalogs: Catalogs) -> list[Plan]:
    """Return the plans to compare, all of them where none is named.

    Raises
    ------
    InputError
        A name is unknown or stands twice.
    """
    known = catalogs["plans"]
    names = names_in(text)
    problems = Problems("--constructions")
    for name in dict.fromkeys(names):
        if name not in known:
            problems.error(None, "", name, "is neither a construction nor a plan:", nearest(name, known.keys))
        elif names.count(name) > 1:
            problems.error(None, "", name, "stands twice:", "each one once")
    if names == [BEST_MIX]:
        problems.error(
            None,
            "",
            BEST_MIX,
            "needs plans to choose from:",
            "name them before it, such as ac,mc-wire,best-mix",
        )
    problems.stop_on_errors()
    rows = [known[n] for n in names] or list(known)
    return [Plan(str(r["key"]), str(r["title"]), str(r["members"]).split()) for r in rows]


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


def _lay(catalogs: Catalogs, key: str, title: str, members: Sequence[str], source: str) -> None:
    row: Row = {"key": key, "plan": key, "title": title, "members": " ".join(members), "source": source}
    catalogs["plans"].lay(row)
