"""Fixtures shared by the tests: builds from schedule texts, the sample workbook, LibreOffice."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from takeoff.build import Build, Options, compute
from takeoff.catalog.load import load_catalogs
from takeoff.catalog.rows import Catalogs
from takeoff.report.output import write_outputs
from takeoff.report.results import results_of
from tests import office

ROOT = Path(__file__).parent.parent
SAMPLES = ROOT / "samples"
PLAN_OF = {
    **{c: f"{c}-first" for c in ("ac", "mc-wire", "mc-armor", "ac-redundant", "mc-redundant")},
    "emt-wire": "emt",
    "emt-bare": "emt-as-egc",
}
"""The shipped plan that prefers each construction."""

ALL_PLANS = ",".join(plan for construction, plan in PLAN_OF.items() if construction != "emt-bare")
"""Shipped plans, as --plans names them, but for that of EMT as its own EGC, whose fallback is another of them."""


def pytest_collection_modifyitems(items: Iterable[pytest.Item]) -> None:
    """Skip what needs LibreOffice where it is missing, unless it is required to be there."""
    if office.SOFFICE or os.environ.get("TAKEOFF_REQUIRE_LIBREOFFICE"):
        return
    for item in items:
        if item.get_closest_marker("libreoffice"):
            item.add_marker(pytest.mark.skip(reason="LibreOffice is not installed: formulas are not recalculated"))


@dataclass(frozen=True)
class Counted:
    """The results of a build, found by box and plan."""

    build: Build
    results: dict[str, Any]

    def box(self, box: str, plan: str) -> dict[str, Any]:
        """Return the results of one box in one plan."""
        return next(b for b in self.results["boxes"] if (b["box"], b["plan"]) == (box, plan))

    def counts(self, box: str, plan: str) -> tuple[int, int, int, int]:
        """Return circuit terminations and splices, ground terminations and splices of one box."""
        found = self.box(box, plan)
        names = ("circuit_terminations", "circuit_splices", "ground_terminations", "ground_splices")
        return tuple(found[n] for n in names)  # type: ignore[return-value]

    def total(self, name: str, plan: str) -> Any:
        """Return one total of a plan."""
        return self.results["plans"][plan][name]


@dataclass(frozen=True)
class Counter:
    """Builds from the text of a schedule; catalogs as texts by name are laid over the shipped ones."""

    folder: Path

    def __call__(self, schedule: str, *sets: str, compared: str = "", **catalogs: str) -> Counted:
        path = self.folder / "schedule.csv"
        path.write_text(schedule, encoding="utf-8")
        overlay = None
        if catalogs:
            overlay = self.folder / "catalogs"
            overlay.mkdir(exist_ok=True)
            for old in overlay.glob("*.csv"):
                old.unlink()
            for name, text in catalogs.items():
                (overlay / f"{name}.csv").write_text(text, encoding="utf-8")
        build = compute(Options(path, overlay, None, sets, compared))
        return Counted(build, results_of(build))


@pytest.fixture
def count(tmp_path: Path) -> Counter:
    """Return a function that builds from the text of a schedule."""
    return Counter(tmp_path)


@pytest.fixture(scope="session")
def catalogs() -> Catalogs:
    """Return the shipped catalogs."""
    return load_catalogs()


@pytest.fixture(scope="session")
def sample_build() -> Build:
    """Return the computed build of the large sample."""
    return compute(Options(SAMPLES / "two-story.csv"))


@pytest.fixture(scope="session")
def sample_workbook(sample_build: Build, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the workbook of the large sample."""
    path = tmp_path_factory.mktemp("sample") / "two-story.xlsx"
    write_outputs(sample_build, path, None)
    return path


@pytest.fixture(scope="session")
def recalculate(tmp_path_factory: pytest.TempPathFactory) -> Callable[[list[Path]], list[Path]]:
    """Return a function that recalculates workbooks with LibreOffice and returns the new files."""
    folder = tmp_path_factory.mktemp("office")

    def run(files: list[Path]) -> list[Path]:
        out = Path(tmp_path_factory.mktemp("recalculated"))
        office.convert(folder / "profile", files, "xlsx", out)
        return [out / f.name for f in files]

    return run
