"""The band of a breaker: at which current it opens at once, and how long it takes below that, at most and at least."""

from __future__ import annotations

from takeoff.engine.aggregates import CountSmaller
from takeoff.engine.expr import Expr, at_most, call, col, given, ratio, when
from takeoff.engine.lookups import At, Match
from takeoff.engine.tables import Column

BANDS = "breaker_bands"


def of_band(name: str) -> Expr:
    """Return a figure of the band that holds for the breaker of the row."""
    return At(BANDS, name, col("band_row"))


def band_columns(rating: Expr, volts: Expr) -> list[Column]:
    """Return the columns that find the band of a breaker, and the edges at which it opens at once.

    Parameters
    ----------
    rating, volts
        Rating in A, and voltage in V: the first band not under both holds.
    """

    def edge(name: str, title: str, note: str) -> Column:
        share = ratio(of_band(f"inst_{name}_pct"), 100, 0)
        return Column(f"{name}_a", title, "A", col("pickup_a") * share, note, "#,##0")

    smaller = CountSmaller(BANDS, {}, "volts_to", volts)
    return [
        Column("band_family", "bands of its voltage", "", At(BANDS, "family", smaller + 1)),
        Column(
            "bands_below",
            "bands of smaller breakers",
            "ea",
            CountSmaller(BANDS, {"family": col("band_family")}, "rating_to_a", rating),
        ),
        Column(
            "band_row", "row of the band", "no.", Match(BANDS, "slot", col("band_family") & "|" & col("bands_below"))
        ),
        Column("pickup_a", "pickup", "A", rating * given("pickup_times_rating"), "at once, nominal", "#,##0"),
        edge("low", "pickup, low edge", "below it the breaker does not open at once"),
        edge("high", "pickup, high edge", "from it on the breaker opens at once"),
        Column(
            "wanted_a",
            "fault wanted",
            "A",
            call("max", col("pickup_a") * given("wanted_ratio"), col("high_a")),
            "the multiple wanted of the pickup, not under its high edge",
            "#,##0",
        ),
    ]


def time_columns(rating: Expr) -> list[Column]:
    """Return the columns of what a breaker lets through under its pickup, and of its time above.

    Current squared by time is taken to be the same above the multiple at which the time is given: the bimetal of
    the breaker heats as a conductor does.
    """

    def energy(name: str, title: str) -> Column:
        tested = of_band("long_times") * rating
        return Column(
            f"long_{name}_a2s",
            title,
            "A2 s",
            tested * tested * of_band(f"long_{name}_s"),
            "multiple of the rating, squared, by its time",
            "0.00E+00",
        )

    return [
        energy("low", "inverse time, let through at least"),
        energy("high", "inverse time, let through at most"),
        Column("clear_s", "at once within", "s", of_band("clear_s"), format="0.000"),
    ]


def opens_after(name: str, current: str, edge: str, of_circuit: Expr, energy: Expr, clear: Expr, title: str) -> Column:
    """Return the column of the time after which a breaker opens.

    Parameters
    ----------
    name, title
        Name and heading of the column.
    current
        Column of the fault current, A.
    edge
        Which edge of the band the heading tells, for the note.
    of_circuit, energy, clear
        Pickup at that edge in A, current squared by time below it in A2 s, time at once in s.
    """
    below = call("/", energy, col(current) * col(current))
    return Column(
        name,
        title,
        "s",
        when(at_most(of_circuit, col(current)), clear, below),
        f"{edge} edge of the breaker's band",
        "0.00",
    )
