"""The commands on two workbooks of a job: what was changed by hand in one, and what moved from one to the other."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from takeoff.guard import guarded, say
from takeoff.text.progress import progress

QuietOption = Annotated[bool, typer.Option("--quiet", help="No progress on stderr.")]


def add_commands(app: typer.Typer) -> None:
    """Add the commands `edits` and `changes`.

    Parameters
    ----------
    app
        The command line.
    """

    @app.command(epilog="Example: takeoff edits bid.xlsx -o by-hand")
    def edits(
        old: Annotated[Path, typer.Argument(help="Workbook that takeoff build wrote.", show_default=False)],
        output: Annotated[Path, typer.Option("-o", "--output", metavar="DIR", help="Folder to make.")],
        quiet: QuietOption = False,
    ) -> None:
        """Write what was changed by hand in a workbook as files that build takes."""
        from takeoff.addendum.outputs import write_edits
        from takeoff.report.changes import edits_text

        with guarded(), progress(quiet) as step:
            step("reading")
            options, earlier, refused = write_edits(old, output)
        with guarded(written=True):
            say(edits_text(options, earlier, refused))

    @app.command(epilog="Example: takeoff changes as-bid.xlsx addendum-3.xlsx -o changes.xlsx")
    def changes(
        old: Annotated[Path, typer.Argument(help="Earlier workbook, such as an as-bid copy.", show_default=False)],
        new: Annotated[Path, typer.Argument(help="Later workbook.", show_default=False)],
        output: Annotated[Path | None, typer.Option("-o", metavar="OUT.xlsx", help="Write the sheet Changes.")] = None,
        quiet: QuietOption = False,
    ) -> None:
        """Say what moved between two workbooks, split by cause."""
        from takeoff.addendum.outputs import compare, write_compared
        from takeoff.report.changes import compared_text

        with guarded(), progress(quiet) as step:
            compared = compare(old, new, step)
            if output:
                write_compared(compared, output)
        with guarded(written=bool(output)):
            say(compared_text(compared))
            if output:
                say(f"wrote {output}")
