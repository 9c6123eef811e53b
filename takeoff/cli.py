"""The command line: parses, calls one function of the library, prints. Heavy imports stand inside the commands."""

from __future__ import annotations

import io
import os
import sys
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated, Any, NoReturn

import typer

from takeoff import __version__

DONE, BROKEN, INPUT = 0, 1, 2
"""Exit codes: done; anything unforeseen; the user's input."""

SHOWN = 400
"""Problems printed one by one; what is beyond is counted."""

app = typer.Typer(
    name="takeoff",
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="Compare armored-cable constructions for commercial branch wiring: a schedule in, a workbook out.",
    epilog="Example: takeoff build samples/two-story.csv -o comparison.xlsx",
)

ScheduleArgument = Annotated[
    Path, typer.Argument(help="Schedule: CSV, or the first sheet of an .xlsx.", show_default=False)
]
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
QuietOption = Annotated[bool, typer.Option("--quiet", help="No progress and no notices on stderr.")]


@app.callback(invoke_without_command=True)
def common(
    version: Annotated[bool, typer.Option("--version", help="Show the version and leave.")] = False,
) -> None:
    """Compare armored-cable constructions for commercial branch wiring: a schedule in, a workbook out."""
    if version:
        typer.echo(f"takeoff {__version__}")
        raise typer.Exit(DONE)


@app.command(epilog="Example: takeoff build job.csv -o out.xlsx --set code_edition=2020 --constructions ac,mc-wire")
def build(
    schedule: ScheduleArgument,
    output: Annotated[Path, typer.Option("-o", "--output", metavar="OUT.xlsx", help="Workbook to write.")],
    json_file: Annotated[
        Path | None, typer.Option("--json", metavar="FILE", help="Write the results as JSON too.")
    ] = None,
    catalogs: CatalogsOption = None,
    inputs: InputsOption = None,
    sets: SetOption = None,
    constructions: Annotated[
        str, typer.Option("--constructions", metavar="A,B,C", help="Constructions to compare; all where none is named.")
    ] = "",
    crew_pdf: Annotated[
        Path | None,
        typer.Option("--crew-pdf", metavar="FILE.pdf", help="Print the crew pages too; needs LibreOffice Calc."),
    ] = None,
    quiet: QuietOption = False,
) -> None:
    """Read a schedule and write the comparison workbook."""
    from takeoff.build import Options, compute
    from takeoff.crew_pdf import stop_unless_printable
    from takeoff.output import write_outputs
    from takeoff.report import totals_text

    options = Options(schedule, catalogs, inputs, tuple(sets or ()), constructions, output, json_file, crew_pdf)
    with _guarded(), _progress(quiet) as step:
        stop_unless_printable(crew_pdf)
        result = compute(options, step)
        step("writing the workbook")
        write_outputs(result, output, json_file, crew_pdf)
    with _guarded():
        if not quiet:
            for problem in result.problems[:SHOWN]:
                typer.echo(f"{problem.severity}: {problem}", err=True)
        typer.echo(totals_text(result))
        typer.echo("wrote " + " and ".join(str(file) for file in (output, json_file, crew_pdf) if file))


@app.command(epilog="Example: takeoff check samples/two-story.csv")
def check(
    schedule: ScheduleArgument,
    catalogs: CatalogsOption = None,
    inputs: InputsOption = None,
    sets: SetOption = None,
    quiet: QuietOption = False,
) -> None:
    """Validate a schedule and print what was found."""
    from takeoff.build import Options, read_job
    from takeoff.report import job_text

    with _guarded(), _progress(quiet) as step:
        step("reading")
        read = read_job(Options(schedule, catalogs, inputs, tuple(sets or ())))
        text = job_text(read.job, read.catalogs)
    with _guarded():
        for notice in read.job.notices:
            typer.echo(f"notice: {notice}")
        typer.echo(text)


@app.command(
    epilog="Example: takeoff new my-job && cd my-job && "
    "takeoff build schedule.csv -o comparison.xlsx --inputs inputs.toml --catalogs catalogs"
)
def new(
    folder: Annotated[Path, typer.Argument(help="Folder to make.", show_default=False)],
) -> None:
    """Write a starter folder: a schedule, an inputs file, catalogs to edit. It builds as it stands."""
    from takeoff.catalogs import load_catalogs
    from takeoff.starter import write_starter

    with _guarded():
        for name in write_starter(folder, load_catalogs()):
            typer.echo(folder / name)


@contextmanager
def _progress(quiet: bool) -> Iterator[Callable[[str], None]]:
    """Give a function that shows the stage on stderr; silent where nobody looks on."""
    if quiet or not sys.stderr.isatty():
        yield lambda _: None
        return
    from rich.console import Console

    with Console(stderr=True).status("starting") as status:
        yield lambda stage: status.update(f"{stage} ...")


@contextmanager
def _guarded() -> Iterator[None]:
    """Turn what goes wrong into sentences and an exit code, never a traceback."""
    from takeoff.problems import InputError

    try:
        yield
    except InputError as wrong:
        for problem in wrong.problems[:SHOWN]:
            typer.echo(str(problem), err=True)
        if len(wrong.problems) > SHOWN:
            typer.echo(f"... and {len(wrong.problems) - SHOWN} more problems; mend these first", err=True)
        raise typer.Exit(INPUT) from None
    except (typer.Exit, typer.Abort, BrokenPipeError):
        raise
    except MemoryError:
        _fail("the machine has not enough memory for this schedule; split the job")
    except Exception as reason:
        if os.environ.get("TAKEOFF_TRACEBACK"):
            traceback.print_exc()
        _fail(f"an error of the tool, not of the input: {type(reason).__name__}: {reason}; see TAKEOFF_TRACEBACK=1")


def _fail(sentence: str) -> NoReturn:
    typer.echo(f"takeoff: {sentence}", err=True)
    raise typer.Exit(BROKEN)


def main(*args: Any) -> None:
    """Run the command line; a terminal that lacks a character shows its code instead."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    app(*args)
