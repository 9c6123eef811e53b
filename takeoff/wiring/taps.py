"""Which conductors a device connects to where the schedule does not say: the rules of the schedule format."""

from __future__ import annotations

from collections.abc import Sequence

from takeoff.job.pairs import PAIR

HOTS = ("A", "B", "C")
WORDS = {
    "hot": "a hot",
    "neutral": "a neutral",
    "leg": "a switch leg",
    "traveler": "a traveler",
    "isolated": "an isolated ground",
    "line": "a hot or a switch leg",
    "feed": "a switch leg or a hot",
    "control": "a conductor of a control pair",
}
"""What a connection of a device needs, in words."""

ACCEPTED = {
    "hot": "ABCS",
    "neutral": "N",
    "leg": "S",
    "traveler": "T",
    "isolated": "I",
    "line": "ABCS",
    "feed": "ABCS",
    "control": "D",
}
"""First letters of the roles that a connection may take: a receptacle may hang on a switch leg."""


def mismatch(kind: str, role: str, mine: Sequence[str], kinds: Sequence[str]) -> str:
    """Return what is wrong with a role that the schedule names for a connection; nothing where it fits.

    A four-way switch takes each traveler twice, coming and going; any other device takes a role once.
    """
    if role[0] not in ACCEPTED[kind]:
        return f"needs {WORDS[kind]}, not {role}"
    if mine.count(role) >= max(1, kinds.count("traveler") // 2 if kind == "traveler" else 1):
        return f"connects {role} twice"
    return ""


def choose(
    kind: str, runs: Sequence[Sequence[str]], mine: Sequence[str], taken: Sequence[str], kinds: Sequence[str]
) -> str:
    """Return the role that one connection of a device takes, or nothing where no run brings one.

    Parameters
    ----------
    kind
        What the connection needs, a word of the devices catalog.
    runs
        Roles of every run that enters the box, the feeding run first.
    mine
        Roles the device has taken already.
    taken
        Switch legs that other devices of the box have taken: a second switch takes the next one.
    kinds
        What all connections of the device need.
    """
    feed, every = runs[0], list(dict.fromkeys(role for run in runs for role in run))
    hots = [r for r in feed if r in HOTS and r not in mine]
    legs = [r for r in every if r[0] == "S"]
    feed_legs = [r for r in feed if r[0] == "S"]
    onward_legs = [r for run in runs[1:] for r in run if r[0] == "S"]
    hot = next((r for r in mine if r in HOTS), "")
    choices = {
        "hot": hots,
        "neutral": [r for r in ("N" + hot, "N", *sorted(feed)) if r in feed and r[0] == "N"],
        "leg": [r for r in legs if r not in taken] or legs,
        "line": onward_legs or hots or feed_legs,
        "feed": feed_legs or hots,
        "traveler": _travelers(runs, mine, both_sides=kinds.count("traveler") > 2),
        "isolated": [r for r in feed if r == "IG"],
        "control": [r for r in PAIR if r in every and r not in mine],
    }[kind]
    return choices[0] if choices else ""


def _travelers(runs: Sequence[Sequence[str]], mine: Sequence[str], both_sides: bool) -> list[str]:
    """Return the travelers free to take; at a four-way switch one name may stand on both sides of it."""
    names = sorted({role for run in runs for role in run if role[0] == "T"}, key=lambda r: int(r[1:]))
    free = [r for r in names if r not in mine]
    return free or [r for r in names if both_sides and mine.count(r) < sum(r in run for run in runs)]
