"""The command line: parses, calls one function of the library, prints. Heavy imports stand inside the commands."""

from __future__ import annotations

import io
import sys
from contextlib import nullcontext
from enum import StrEnum
from functools import partial
from pathlib import Path
from typing import Annotated, Any

import typer

from takeoff import __version__
from takeoff.cli_addendum import add_commands
from takeoff.guard import DONE, UNUSABLE, guarded, say, say_notices
from takeoff.text.progress import progress

app = typer.Typer(
    name="takeoff",
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="Compare armored-cable constructions for commercial branch wiring: a schedule in, a workbook out.",
    epilog="Example: takeoff build samples/two-story.csv -o comparison.xlsx",
)


class Paper(StrEnum):
    """Papers of the crew pages."""

    letter = "letter"
    legal = "legal"
    tabloid = "tabloid"
    a4 = "a4"


ScheduleArgument = Annotated[Path, typer.Argument(help="Schedule: CSV or .xlsx.", show_default=False)]
CatalogsOption = Annotated[
    Path | None,
    typer.Option(
        "--catalogs", metavar="DIR", help="Folder of your own catalog rows, laid over the shipped ones by key."
    ),
]
InputsOption = Annotated[
    Path | None, typer.Option("--inputs", metavar="FILE.toml", help="Inputs, as NAME = VALUE lines.")
]
SetOption = Annotated[
    list[str] | None, typer.Option("--set", metavar="NAME=VALUE", help="One input; may be given again.")
]
QuoteOption = Annotated[
    list[Path] | None,
    typer.Option("--quote", metavar="FILE", help="Supplier quote laid over the price list; may be given again."),
]
RoomsOption = Annotated[
    Path | None, typer.Option("--rooms", metavar="FILE", help="Room types that rows of the schedule place.")
]
QuietOption = Annotated[bool, typer.Option("--quiet", help="No progress and no notices on stderr.")]


@app.callback(invoke_without_command=True)
def common(
    version: Annotated[bool, typer.Option("--version", help="Show the version and leave.")] = False,
) -> None:
    """Compare armored-cable constructions for commercial branch wiring: a schedule in, a workbook out."""
    if version:
        say(f"takeoff {__version__}")
        raise typer.Exit(DONE)


@app.command(epilog="Example: takeoff build job.csv -o out.xlsx --set code_edition=2020 --plans ac-first,mc-wire-first")
def build(
    schedule: ScheduleArgument,
    output: Annotated[Path, typer.Option("-o", "--output", metavar="OUT.xlsx", help="Workbook to write.")],
    json_file: Annotated[
        Path | None, typer.Option("--json", metavar="FILE", help="Write the results as JSON too.")
    ] = None,
    rooms: RoomsOption = None,
    catalogs: CatalogsOption = None,
    inputs: InputsOption = None,
    sets: SetOption = None,
    quotes: QuoteOption = None,
    order: Annotated[
        Path | None, typer.Option("--order", metavar="DIR", help="Folder for the order list and cutting plan as CSV.")
    ] = None,
    plans: Annotated[
        str,
        typer.Option(
            "--plans", metavar="A,B,C", help="Plans to compare, by key or title; else those of the catalog marked so."
        ),
    ] = "",
    crew_pdf: Annotated[
        Path | None,
        typer.Option("--crew-pdf", metavar="FILE.pdf", help="Print what a crew holds: training pack, quiz, pages."),
    ] = None,
    crew_paper: Annotated[
        Paper, typer.Option("--crew-paper", help="Paper of the crew pages, printed upright.")
    ] = Paper.letter,
    columns: Annotated[
        Path | None,
        typer.Option("--columns", metavar="FILE.csv", help="Write what every computed column is, with its formula."),
    ] = None,
    strict: Annotated[
        bool, typer.Option("--strict", help="Return 3 when any plan is not to be used; all files are written.")
    ] = False,
    carry: Annotated[
        Path | None, typer.Option("--carry", metavar="OLD.xlsx", help="Keep what was changed by hand in it.")
    ] = None,
    replace: Annotated[bool, typer.Option("--replace", help="Overwrite a workbook that was edited by hand.")] = False,
    quiet: QuietOption = False,
) -> None:
    """Read a schedule and write the comparison workbook."""
    from takeoff.addendum.outputs import build_carried
    from takeoff.addendum.target import stop_if_edited
    from takeoff.build import Options, compute
    from takeoff.engine.collection import without_collection
    from takeoff.report.changes import carried_text
    from takeoff.report.output import write_outputs
    from takeoff.report.totals import receipt_text, totals_text

    given = schedule, catalogs, inputs, tuple(sets or ()), plans
    options = Options(*given, output, json_file, tuple(quotes or ()), order, crew_pdf, columns, rooms)
    with guarded(), without_collection(), progress(quiet) as step:
        if not replace:
            stop_if_edited(output, carry, options.reads)
        with build_carried(options, carry, step) if carry else nullcontext((compute(options, step), None)) as made:
            result, done = made
            step("writing the workbook")
            write_outputs(result, output, json_file, order, crew_pdf, columns, crew_paper.value)
    with guarded(written=True):
        say_notices(result.problems, quiet)
        said = [totals_text(result), *([carried_text(done)] if done else []), receipt_text(result.job)]
        say("\n".join(said))
        say("wrote " + " and ".join(str(p) for p in (output, json_file, order, crew_pdf, columns) if p))
    if strict and result.unusable:
        raise typer.Exit(UNUSABLE)


@app.command(epilog="Example: takeoff check samples/two-story.csv")
def check(
    schedule: ScheduleArgument,
    rooms: RoomsOption = None,
    expanded: Annotated[
        Path | None, typer.Option("--expanded", metavar="FILE.csv", help="Write the schedule with a row for each box.")
    ] = None,
    catalogs: CatalogsOption = None,
    inputs: InputsOption = None,
    sets: SetOption = None,
    quotes: QuoteOption = None,
    quiet: QuietOption = False,
) -> None:
    """Validate a schedule; print what was found, panel by panel, and which figures are still invented."""
    from takeoff.build import Options, compute
    from takeoff.report.digest import job_text
    from takeoff.report.expanded import write_expanded
    from takeoff.report.totals import invented_text, receipt_text

    given = schedule, catalogs, inputs, tuple(sets or ())
    options = Options(*given, quotes=tuple(quotes or ()), rooms=rooms, expanded=expanded)
    with guarded(), progress(quiet) as step:
        found = compute(options, step)
        text = f"{job_text(found.job, found.catalogs)}\n{receipt_text(found.job)}"
        if expanded:
            write_expanded(found.job, expanded)
    with guarded():
        for notice in found.notices:
            say(f"notice: {notice}")
        wrote = f"\nwrote {expanded}" if expanded else ""
        notices = f"notices: {len(found.notices)}{', above' if found.notices else ''}"
        say(f"{text}\n{notices}\n{invented_text(found)}{wrote}")


@app.command(
    epilog="Example: takeoff new my-job && cd my-job && "
    "takeoff build schedule.csv -o comparison.xlsx --inputs inputs.toml --catalogs catalogs"
)
def new(
    folder: Annotated[Path, typer.Argument(help="Folder to make.", show_default=False)],
) -> None:
    """Write a starter folder: schedules, an inputs file, catalogs to edit. It builds as it stands."""
    from takeoff.catalog.load import load_catalogs
    from takeoff.catalog.starter import sample, write_starter
    from takeoff.workbook.pages.form import FORM, write_form

    with guarded():
        catalogs = load_catalogs()
        form = {FORM: partial(write_form, catalogs=catalogs, example=sample("form.csv"))}
        for name in write_starter(folder, catalogs, form):
            say(folder / name)


@app.command(epilog="Example: takeoff calibrate samples/times.csv -o calibrated --allowance 15")
def calibrate(
    times: Annotated[Path, typer.Argument(help="Readings: CSV or .xlsx.", show_default=False)],
    output: Annotated[
        Path | None,
        typer.Option("-o", "--output", metavar="DIR", help="Folder to lay the minutes into, for build --catalogs."),
    ] = None,
    catalogs: CatalogsOption = None,
    confidence: Annotated[float, typer.Option("--confidence", metavar="PCT", help="Of the intervals and tests.")] = 95,
    precision: Annotated[float, typer.Option("--precision", metavar="PCT", help="How near the mean is wanted.")] = 5,
    allowance: Annotated[float, typer.Option("--allowance", metavar="PCT", help="Added for rest and delays.")] = 0,
    convention: Annotated[
        str, typer.Option("--convention", help="What the allowance is a share of: share-of-day or share-of-job.")
    ] = "share-of-day",
    details: Annotated[bool, typer.Option("--details", help="Every time, minute, test and method too.")] = False,
    quiet: QuietOption = False,
) -> None:
    """Turn timed readings into labor minutes."""
    from takeoff.study.calibrate import CalibrateOptions, write_overlay
    from takeoff.study.calibrate import calibrate as compute
    from takeoff.study.details import details_text
    from takeoff.study.first_page import first_page

    with guarded(), progress(quiet) as step:
        step("reading")
        done = compute(CalibrateOptions(times, output, catalogs, confidence, precision, allowance, convention))
        written = write_overlay(done)
    with guarded(written=bool(written)):
        say_notices(done.observations.notices, quiet)
        say(first_page(done))
        if details:
            say(f"\n{details_text(done)}")
        if written:
            kept = f", {done.kept} rows kept as they were" if done.kept else ""
            *first, last = map(str, written)
            say(f"wrote {', '.join(first)} and {last}{kept}; build takes them with --catalogs {output}")


@app.command(epilog="Example: takeoff observe job.csv -o sheets.xlsx --plans ac-first,mc-wire-first --workers 5")
def observe(
    schedule: ScheduleArgument,
    output: Annotated[Path, typer.Option("-o", "--output", metavar="SHEETS", help="Sheets to write, .xlsx or .csv.")],
    plans: Annotated[
        str, typer.Option("--plans", metavar="A,B,C", help="Plans whose preferred constructions are timed.")
    ] = "",
    workers: Annotated[int, typer.Option("--workers", metavar="N", help="Sets of sheets, one for each worker.")] = 1,
    boxes: Annotated[int, typer.Option("--boxes", metavar="N", help="Frequent make-up types timed as a whole.")] = 3,
    end_to_end: Annotated[
        bool, typer.Option("--end-to-end", help="Only boxes timed as a whole, in place of operations.")
    ] = False,
    rooms: RoomsOption = None,
    catalogs: CatalogsOption = None,
    inputs: InputsOption = None,
    sets: SetOption = None,
    quiet: QuietOption = False,
) -> None:
    """Write blank sheets for timing a schedule."""
    from takeoff.build import Options
    from takeoff.study.observe import ObserveOptions, plan_sheets, write_sheets

    options = Options(schedule, catalogs, inputs, tuple(sets or ()), plans, rooms=rooms)
    with guarded(), progress(quiet) as step:
        step("counting")
        sheets = plan_sheets(ObserveOptions(options, output, workers, boxes, end_to_end))
        write_sheets(sheets, output)
    with guarded(written=True):
        if sheets.beside:
            say(f"some circuits are wired in {', '.join(sheets.beside)}: add plans that prefer them")
        if output.suffix.casefold() == ".csv" and not quiet:
            for text in sheets.advice:
                say(f"- {text}")
        made = f"{len(sheets.sets)} sets" if workers > 1 else "one set"
        say(f"wrote {output}: {made}, {len(sheets.sets[0])} lines each; calibrate reads it when it is filled in")


add_commands(app)


def main(*args: Any) -> None:
    """Run the command line; a terminal that lacks a character shows its code instead."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    app(*args)
