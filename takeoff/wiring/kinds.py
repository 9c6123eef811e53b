"""A run and the name of its kind: insulated conductors, their size, and whether one is an isolated ground."""

from __future__ import annotations

from dataclasses import dataclass

ISOLATED = "ig"
"""Ends the name of a run kind with an isolated ground."""


def parts_of_kind(kind: str) -> tuple[int, str, bool]:
    """Return the insulated conductors of a run kind, their size, and whether one is an isolated ground."""
    conductors, _, size = kind.partition("c")
    return int(conductors), size.removesuffix(ISOLATED), kind.endswith(ISOLATED)


@dataclass(slots=True)
class Run:
    """The cable that feeds one box.

    `roles` are the insulated conductors it brings, without a wire-type equipment grounding conductor;
    `awg` is their size, `stretch` the stretch of its circuit that it belongs to.
    """

    roles: list[str]
    awg: str
    stretch: int = 0

    @property
    def kind(self) -> str:
        """Name the cable configuration the run needs, as `2c12`: two insulated conductors of 12 AWG.

        `3c12ig` has three, one of them the isolated ground.
        """
        return f"{len(self.roles)}c{self.awg}{ISOLATED if 'IG' in self.roles else ''}"
