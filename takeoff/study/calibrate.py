"""One calibration: from the readings of a time study to minutes that a build accepts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from takeoff.catalog.crosscheck import crosscheck
from takeoff.catalog.load import load_catalogs
from takeoff.study.analysis import Comparison, Timing, Wanted, comparisons_of, timings_of
from takeoff.study.causes import Doubt, doubts_of
from takeoff.study.figures import Figure, figures_of
from takeoff.study.overlay import LEARNED, MINUTES, RANGES, Change, changes_of, overlay_text, prove_overlay, target_of
from takeoff.study.readings import Observations, read_observations
from takeoff.study.statistics import CONVENTIONS
from takeoff.text.problems import Gather, InputError, Problem, Problems, nearest, visible
from takeoff.text.targets import check_targets
from takeoff.text.transaction import Transaction

LIMITS = {"--confidence": (50.0, 99.9), "--precision": (0.1, 50.0), "--allowance": (0.0, 90.0)}
"""What the options accept, in percent."""


@dataclass(frozen=True)
class CalibrateOptions:
    """What the user asked for on the command line; percentages as they are typed."""

    times: Path
    folder: Path | None = None
    catalogs: Path | None = None
    confidence_pct: float = 95
    precision_pct: float = 5
    allowance_pct: float = 0
    convention: str = "share-of-day"


@dataclass(frozen=True)
class Calibration:
    """What a time study says, and the catalog of operations that follows from it.

    `overlay` are the texts to write, by file name; `kept` how many rows of an older file of minutes stay as they were.
    """

    options: CalibrateOptions
    wanted: Wanted
    observations: Observations
    timings: Sequence[Timing]
    comparisons: Sequence[Comparison]
    figures: Sequence[Figure]
    doubts: Sequence[Doubt]
    changes: Sequence[Change]
    overlay: Mapping[str, str]
    kept: int


def calibrate(options: CalibrateOptions) -> Calibration:
    """Read a time study and compute what follows from it; nothing is written.

    The catalogs are the shipped ones under the user's rows: those of the option, else those of the
    folder that is to be written, so that a study may be calibrated again and again.

    Raises
    ------
    InputError
        Everything wrong with the options, the catalogs, the readings and the folder.
    """
    gather = Gather()
    wanted = gather.result_of(lambda: wanted_of(options))
    gather.found += _wrong_folder(options)
    own = options.folder if options.folder and not gather.found and options.folder.is_dir() else None
    catalogs = gather.result_of(lambda: load_catalogs(options.catalogs or own))
    if catalogs is None:
        raise InputError(gather.found)
    gather.result_of(lambda: crosscheck(catalogs))
    observations = gather.result_of(lambda: read_observations(options.times, catalogs))
    if gather.found or wanted is None or observations is None:
        raise InputError(gather.found)
    timings = timings_of(observations.used, catalogs, wanted)
    comparisons = comparisons_of(timings, wanted)
    figures = figures_of(timings, comparisons, wanted)
    changes = changes_of(figures, catalogs, wanted)
    overlay, kept = dict[str, str](), 0
    if options.folder and changes:
        overlay[MINUTES], kept = overlay_text(MINUTES, [c.row for c in changes], options.folder)
        overlay[RANGES], _ = overlay_text(RANGES, [c.range for c in changes if c.range], options.folder)
        overlay[LEARNED], _ = overlay_text(LEARNED, [c.learned for c in changes if c.learned], options.folder)
        prove_overlay(options.folder, overlay)
    doubts = doubts_of(timings)
    return Calibration(options, wanted, observations, timings, comparisons, figures, doubts, changes, overlay, kept)


def wanted_of(options: CalibrateOptions) -> Wanted:
    """Return the options as shares.

    Raises
    ------
    InputError
        A percentage out of its limits, or a convention that is not known.
    """
    given = (options.confidence_pct, options.precision_pct, options.allowance_pct)
    found = []
    for (name, (low, high)), value in zip(LIMITS.items(), given, strict=True):
        if not low <= value <= high:
            found.append(Problem(name, None, "", f"{value:g}", "is out of range:", f"from {low:g} to {high:g} percent"))
    problems = Problems("--convention")
    if options.convention not in CONVENTIONS:
        problems.error(None, "", options.convention, "is not a convention:", nearest(options.convention, CONVENTIONS))
    if found := found + problems.found:
        raise InputError(found)
    return Wanted(options.confidence_pct / 100, options.precision_pct / 100, options.allowance_pct, options.convention)


def _wrong_folder(options: CalibrateOptions) -> list[Problem]:
    """Return what forbids to write a catalog into the folder."""
    folder = options.folder
    if folder is None:
        return []
    try:
        return _wrong_place(folder, options.times)
    except (OSError, RuntimeError, ValueError) as reason:  # links in a circle, names too long, folders closed to us
        said = f"cannot be used ({getattr(reason, 'strerror', None) or reason})"
        return [Problem(visible(str(folder)), None, "", "", said, "give another folder")]


def _wrong_place(folder: Path, times: Path) -> list[Problem]:
    if folder.exists() and not folder.is_dir():
        return [Problem(visible(str(folder)), None, "", "", "is not a folder", "give a folder for the catalog rows")]
    if not folder.exists():
        return check_targets([(folder, "")], [])
    if times.resolve().parent == folder.resolve():
        message = "lies in the folder that is to be written"
        accepted = "another folder for -o: build takes every table there for a catalog"
        return [Problem(visible(str(times)), None, "", "", message, accepted)]
    return check_targets([(target_of(folder, name), ".csv") for name in (MINUTES, RANGES, LEARNED)], [])


def write_overlay(calibration: Calibration) -> list[Path]:
    """Write the catalogs of minutes, ranges and learning, all or none, and return their paths, none where not asked.

    Raises
    ------
    InputError
        They cannot be written.
    """
    folder = calibration.options.folder
    if folder is None or not calibration.overlay:
        return []
    paths = {target_of(folder, name): text for name, text in calibration.overlay.items()}
    with Transaction() as files:
        files.folder(folder)
        for path, text in paths.items():
            files.write_text(path, text)
    return list(paths)
