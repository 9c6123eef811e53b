"""A run and the name of its kind: insulated conductors, their size, an isolated ground, a control pair."""

from __future__ import annotations

from dataclasses import dataclass

from takeoff.job.pairs import PAIR

ISOLATED = "ig"
"""Stands behind the size where one conductor is an isolated ground."""

WITH, APART = "d", "a"
"""Stand before the size of a control pair: asked for with the power conductors, or in a cable of its own."""


def parts_of_kind(kind: str) -> tuple[int, str, bool]:
    """Return the insulated power conductors of a run kind, their size, and whether one is an isolated ground."""
    conductors, _, size = kind.partition("c")
    size = size.partition(WITH)[0].partition(APART)[0]
    return int(conductors), size.removesuffix(ISOLATED), size.endswith(ISOLATED)


def pair_of_kind(kind: str) -> tuple[str, bool]:
    """Return the size of the control pair of a run kind, nothing where it has none, and whether it runs apart."""
    for sign in (WITH, APART):
        _, found, awg = kind.partition(sign)
        if found:
            return awg, sign == APART
    return "", False


@dataclass(slots=True)
class Run:
    """The cable that feeds one box.

    `roles` are the insulated power conductors it brings, without a wire-type equipment grounding conductor;
    `awg` is their size, `stretch` the stretch of its circuit that it belongs to. `control_awg` is the size of the
    control pair that comes with it, nothing where there is none; it is `apart` where it has a cable of its own
    whatever the construction.
    """

    roles: list[str]
    awg: str
    stretch: int = 0
    control_awg: str = ""
    apart: bool = False

    @property
    def every(self) -> list[str]:
        """The roles that it brings, those of the control pair last."""
        return [*self.roles, *(PAIR if self.control_awg else ())]

    def awg_of(self, role: str) -> str:
        """Return the size of a conductor that it brings."""
        return self.control_awg if role in PAIR else self.awg

    @property
    def kind(self) -> str:
        """Name the cable configuration the run needs, as `2c12`: two insulated conductors of 12 AWG.

        `3c12ig` has three, one of them the isolated ground; `2c12d16` a control pair of 16 AWG with them, `2c12a16`
        one in a cable of its own.
        """
        control = f"{APART if self.apart else WITH}{self.control_awg}" if self.control_awg else ""
        return f"{len(self.roles)}c{self.awg}{ISOLATED if 'IG' in self.roles else ''}{control}"
