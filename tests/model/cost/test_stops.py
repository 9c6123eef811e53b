"""What can make a total wrong reaches the stop list, the results and the exit code in the same words."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from takeoff.build import Build
from takeoff.report.results import results_of
from takeoff.report.totals import totals_text
from tests.priced import SCHEDULE, laid, priced
from tests.tables import row, rows, schedule

NOT_TO_BE_USED, LOOK_FIRST = "not to be used", "look first"

HELD = {
    "wire-type MC in patient care": (
        {"device": "duplex-hg", "space": "patient-care", "construction": "mc-wire"},
        "517.13",
    ),
    "Type AC in a wet place": ({"device": "duplex", "space": "wet", "construction": "ac"}, "320."),
    "14 AWG on 20 A": ({"device": "duplex", "awg": "14", "breaker_a": 20}, "310.15"),
}
"""Circuits that a rule refuses, with the begin of its section."""


@pytest.mark.parametrize("name", HELD)
def test_a_held_circuit_that_a_rule_refuses_leaves_its_plan_not_to_be_used(tmp_path: Path, name: str) -> None:
    cells, section = HELD[name]
    build = priced(tmp_path, schedule=schedule(cells))
    for plan in build.frame.compared:
        assert row(build, "standing", plan=plan)["state"] == NOT_TO_BE_USED
        (stop, *_) = results_of(build)["stops"][plan]
        assert (stop["count"], stop["first_circuit"], stop["state"]) == (1, "P-1", NOT_TO_BE_USED)
        assert section in stop["section"]
    assert "NOT TO BE USED: 2 of 2 plans. " in row(build, "master")["says"]
    said = totals_text(build)
    assert f"{NOT_TO_BE_USED}: circuits that do not meet a rule tested: 1, 1; first P-1: " in said
    lines = row(build, "stop_count")
    assert (lines["lines"] <= lines["room"], lines["more"], lines["says"]) == (True, 0, "")
    assert results_of(build)["decision"]["named"] is None


@pytest.mark.parametrize(
    ("name", "count", "said"),
    [
        ("P-{}", 1, ""),
        ("P-{}", 2, "; also P-2"),
        ("P-{}", 3, "; also P-2, P-3"),
        ("P-{}", 15, "; also P-2, P-3 and 12 more"),
        ("PANEL-EAST-{}", 5, "; also PANEL-EAST-2 and 3 more"),
        ("THE-PANEL-IN-THE-EAST-{}", 5, "; and 4 more"),
    ],
)
def test_a_line_names_as_many_circuits_as_fit_and_the_results_name_all(
    tmp_path: Path, name: str, count: int, said: str
) -> None:
    """14 AWG on 20 A, 240.4(D), beside a circuit that meets every rule: three names of few letters, two, one."""
    circuits = [name.format(n) for n in range(1, count + 1)]
    wrong = [{"box": f"B{n}", "circuit": c, "device": "duplex", "awg": "14"} for n, c in enumerate(circuits)]
    build = priced(tmp_path, schedule=schedule({"box": "Y", "circuit": "A-1", "device": "duplex"}, *wrong))
    for stops_of_plan in (results_of(build)["stops"][p] for p in build.frame.compared):
        (stop,) = (s for s in stops_of_plan if s["what"] == "circuits that do not meet a rule tested")
        assert (stop["count"], stop["first_circuit"], stop["circuits"]) == (count, circuits[0], circuits)
    (line,) = (s for s in totals_text(build).splitlines() if "circuits that do not meet a rule tested" in s)
    rule = "the breaker is above what the conductors carry here (310.15, 240.4)"
    counts = f"{count}, {count}; first {circuits[0]}: {rule}"
    assert line == f"  {NOT_TO_BE_USED}: circuits that do not meet a rule tested: {counts}{said}"


@pytest.mark.parametrize(("count", "said"), [(1, ""), (3, "; also P-2, P-3"), (5, "; also P-2, P-3 and 2 more")])
def test_circuits_that_fail_a_check_which_advises_are_named_like_those_refused(
    tmp_path: Path, count: int, said: str
) -> None:
    """14 AWG on 20 A, 240.4(D), where a row of the user has the check advise."""
    wrong = [{"box": f"B{n}", "circuit": f"P-{n}", "device": "duplex", "awg": "14"} for n in range(1, count + 1)]
    checks = {"checks": "check,editions,stops\novercurrent,2017 2020 2023,0\n"}
    build = priced(tmp_path, schedule=schedule(*wrong), catalogs=checks)
    assert row(build, "stop_names")["advised_others"] == said
    assert [r["advised"] for r in rows(build, "plan_flags")] == [count, count]


def test_a_fact_that_is_missing_is_counted_and_told_with_its_question(tmp_path: Path) -> None:
    """330.10(A)(11): whether the cable is for the wet place is asked; three times built are three circuits open."""
    asked = {"device": "duplex", "space": "wet", "construction": "mc-wire", "repeat": 3}
    plain = {"box": "Y", "circuit": "P-2", "device": "duplex"}
    what = "circuits with a fact still missing"
    build = priced(tmp_path / "a", schedule=schedule(plain, asked))
    for plan in build.frame.compared:
        (stop,) = (s for s in results_of(build)["stops"][plan] if s["what"] == what)
        assert (stop["count"], stop["first_circuit"], stop["state"]) == (3, "P-1", LOOK_FIRST)
        assert stop["section"] == "330.10(A)(11)"
    assert row(build, "open_facts")["inspected"] == 3
    question = row(build, "open_facts")["question"]
    assert question.endswith("?")
    assert f"{what}: 3, 3; first P-1, asked below\n" in totals_text(build)
    assert f"\n  Asked of P-1: {question} (330.10(A)(11))" in totals_text(build)
    asks = {r["circuit"]: r["asks"].strip() for r in rows(build, "inspected")}
    assert asks == {"P-1": question, "P-2": ""}  # the inspection sheet asks where somebody must look, nowhere else
    told = priced(tmp_path / "b", schedule=schedule(plain, {**asked, "listed_for_place": "yes"}))
    assert what not in stops(told, "ac-first")
    assert row(told, "open_facts")["inspected"] == 0


def test_a_fact_that_one_plan_alone_asks_for_is_told_of_every_circuit_that_asks(tmp_path: Path) -> None:
    """501.10(B)(1) takes both kinds of Type MC; 501.30(A) asks how an armor that is the EGC is bonded."""
    cells = {"device": "duplex", "space": "hazardous", "class_division": "I-2"}
    three = [{"box": f"B{n}", "circuit": f"P-{n}", **cells} for n in (1, 2, 3)]
    build = priced(tmp_path, schedule=schedule(*three), compared="mc-wire-first,mc-armor-first")
    what = "circuits with a fact still missing"
    assert [stops(build, plan).get(what, 0) for plan in ("mc-wire-first", "mc-armor-first")] == [0, 3]
    assert f"{what}: 0, 3; first P-1, asked below; also P-2, P-3\n" in totals_text(build)
    assert row(build, "stop_names")["circuits_to_look_others"] == "; also P-2, P-3"


def test_a_kind_of_space_to_look_at_is_told_with_the_section_of_that_space(tmp_path: Path) -> None:
    """Type MC is for wet places where it is listed for them, 330.10(A)(11)."""
    build = priced(tmp_path, schedule=schedule({"device": "duplex", "space": "wet", "construction": "mc-wire"}))
    (stop,) = (s for s in results_of(build)["stops"]["ac-first"] if s["what"] == "circuits that a person must look at")
    assert "330.10(A)(11)" in stop["section"]


@pytest.mark.parametrize(
    ("cells", "begin", "section"),
    [
        ({"device": "equipment-1p", "awg": 8}, "Did a qualified person", "250.122(B)"),
        ({"device": "motor-1p", "awg": 12, "breaker_a": 30}, "", "430.52"),
    ],
)
def test_the_question_told_is_that_of_the_check_that_waits(
    tmp_path: Path, cells: dict[str, object], begin: str, section: str
) -> None:
    plain = {"box": "Y", "circuit": "A-1", "device": "duplex"}  # of another kind, which asks for nothing
    build = priced(tmp_path, schedule=schedule(plain, {**cells, "construction": "mc-wire"}))
    found = row(build, "open_facts")
    asked = {c["check"]: c["question"] for c in results_of(build)["checks"] if c["outcome"] == "look"}
    assert found["question"] in asked.values()
    assert found["question"].startswith(begin)
    assert section in found["section"]


def test_strict_returns_3_when_a_plan_is_not_to_be_used_and_writes_all_the_same(tmp_path: Path) -> None:
    options = laid(tmp_path, schedule=schedule(HELD["14 AWG on 20 A"][0]))
    command = [
        sys.executable,
        "-m",
        "takeoff",
        "build",
        str(options.schedule),
        "-o",
        str(tmp_path / "o.xlsx"),
        "--quiet",
    ]
    assert subprocess.run(command, capture_output=True, check=False).returncode == 0
    assert subprocess.run([*command, "--strict"], capture_output=True, check=False).returncode == 3
    assert (tmp_path / "o.xlsx").exists()


def test_strict_returns_0_where_every_plan_may_be_used(tmp_path: Path) -> None:
    options = laid(tmp_path)
    command = [
        sys.executable,
        "-m",
        "takeoff",
        "build",
        str(options.schedule),
        "-o",
        str(tmp_path / "o.xlsx"),
        "--strict",
    ]
    assert subprocess.run(command, capture_output=True, check=False).returncode == 0


def stops(build: Build, plan: str) -> dict[str, int]:
    return {s["what"]: s["count"] for s in results_of(build)["stops"][plan]}


def test_a_quote_with_a_slipped_unit_is_looked_at_first(tmp_path: Path) -> None:
    """98 cents each entered per C: the total moves, and every place says so."""
    quote = "item,unit,price\nsquare-4x1.5,C,1.95\nsquare-4x1.25,C,1.68\n"
    build = priced(tmp_path, quotes={"q.csv": quote})
    for plan in build.frame.compared:
        assert stops(build, plan)["prices that look like a slip of the unit"] >= 1
        assert row(build, "standing", plan=plan)["state"] == LOOK_FIRST
    assert "prices that look like a slip of the unit" in totals_text(build)


def test_an_expired_quote_is_looked_at_first(tmp_path: Path) -> None:
    quote = "item,unit,price,valid until\nac-12-2,M,800,2026-01-31\n"
    build = priced(tmp_path, "estimate_date=2026-03-01", quotes={"q.csv": quote})
    assert stops(build, "ac-first")["prices from expired quotes"] == 1
    assert row(build, "standing", plan="ac-first")["state"] == LOOK_FIRST
    assert "prices from expired quotes" not in stops(build, "mc-wire-first")


def test_a_missing_price_and_a_box_without_a_size_stop_a_plan(tmp_path: Path) -> None:
    missing = priced(tmp_path / "a", catalogs={"prices": 'item,price_usd,source\nac-12-2,0,"agreed"\n'})
    assert stops(missing, "ac-first")["items without a price"] == 1
    assert row(missing, "standing", plan="ac-first")["state"] == NOT_TO_BE_USED
    full = schedule(
        {"device": "junction", "box_style": "octagon"}, *({"box": f"B{n}", "fed_from": "X"} for n in range(9))
    )
    crowded = priced(tmp_path / "b", schedule=full)
    assert stops(crowded, "mc-wire-first")["boxes without a size in the catalog"] >= 1
    assert row(crowded, "standing", plan="mc-wire-first")["state"] == NOT_TO_BE_USED


def test_nothing_stands_against_a_plain_job(tmp_path: Path) -> None:
    plain = schedule({"device": "duplex"}, {"box": "Y", "device": "duplex", "fed_from": "X"})
    build = priced(tmp_path, schedule=plain)
    assert results_of(build)["stops"] == {"ac-first": [], "mc-wire-first": [], "every plan": []}
    assert {r["state"] for r in rows(build, "standing")} == {"complete"}
    assert "Stop list: nothing. " in row(build, "master")["says"]


def test_the_line_of_the_proofs_counts_them(tmp_path: Path) -> None:
    build = priced(tmp_path, schedule=SCHEDULE)
    count = len(rows(build, "proofs"))
    assert f"Arithmetic proofs: {count} of {count} agree. " in row(build, "master")["says"]


def test_the_fault_path_meets_nothing_on_invented_figures(tmp_path: Path) -> None:
    """Source, pickup and, where the armor is the path, its resistance must be stated: else it is screening only."""
    figures = ("source_mohm=15", "pickup_times_rating=10")
    invented, known = priced(tmp_path / "a"), priced(tmp_path / "b", *figures)

    def outcome(build: Build, plan: str) -> str:
        return str(row(build, "verdicts", plan=plan, circuit="KP-4")["fault_path_check"])

    assert [outcome(invented, p) for p in invented.frame.compared] == ["screening", "screening"]
    assert [outcome(known, p) for p in known.frame.compared] == ["screening", "meets"]
    armor = "construction,awg,conductors,armor_ohm_per_kft,armor_source\n" + "".join(
        f'ac,{awg},{n},1.0,"measured on site"\n' for awg in (12,) for n in (2, 3, 4)
    )
    measured = priced(tmp_path / "c", *figures, catalogs={"cables": armor})
    assert outcome(measured, "ac-first") == "meets"
