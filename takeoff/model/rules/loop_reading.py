"""A reading of a fault loop beside its prediction: do they agree within the class of the instrument."""

from __future__ import annotations

from collections.abc import Callable

from takeoff.engine.expr import Expr, as_expr, call, col, given, ratio, same, when
from takeoff.engine.lookups import At
from takeoff.engine.tables import Column
from takeoff.model.givens.words import word_for
from takeoff.model.rules.resistance import KFT

NOT_READ = "-"
"""Word of a circuit without a reading."""


def loop_columns(circuit: Callable[[str], Expr]) -> list[Column]:
    """Return the loop of a circuit as it should read, whether a reading agrees, and what else is said of the path.

    Parameters
    ----------
    circuit
        Gives a column of the circuit of the row, which has its verdict in the column `line`.
    """
    source, read = ratio(given("source_mohm"), KFT, 0), circuit("loop_ohm")
    run = At("faults", "loop_ohm", At("verdicts", "fault_line", col("line"))) - source
    gap = read - col("predicted_ohm")
    beyond = call("absolute", gap) - ratio(read * circuit("loop_class_pct"), 100, 0)
    known = At("faults", "known", At("verdicts", "fault_line", col("line")))
    return [
        Column(
            "predicted_ohm",
            "loop as it should read",
            "ohm",
            source + run * At("conditions", "reading_factor", as_expr(1)),
            "at the farthest box, at the temperature of the reading; as copper",
            "0.000",
        ),
        Column(
            "beyond",
            "beyond the class of the instrument",
            "no.",
            call("sign", gap) * call("sign", call("max", 0, beyond)),
            "-1 lower, 1 higher",
        ),
        Column("is_read", "read, and a loop predicted", "0/1", call("sign", read) * known),
        Column(
            "loop_word",
            "loop read against it",
            "",
            word_for("loop", col("is_read") & "|" & col("beyond")),
            "agrees within the class of the instrument; higher: a loose fitting, a longer run; lower: a path beside it",
        ),
        Column(
            "path_says",
            "beside the fault path",
            "",
            as_expr(" x pickup, box at ")
            & call("whole", At("faults", "touch_v", At("verdicts", "fault_line", col("line"))))
            & " V"
            & when(same(col("loop_word"), NOT_READ), "", as_expr("; loop ") & col("loop_word")),
        ),
    ]
