"""Everything wrong is told in one pass: what one stage finds keeps none of the next from saying what it finds."""

from __future__ import annotations

from pathlib import Path

import pytest

from takeoff.text.problems import InputError
from tests.priced import priced

ROOMS = """room,box,device,run_ft
office,A,duplex,12
office,B,duplexx,8
,C,duplex,9
,D,duplex,9
"""


def told(folder: Path, *sets: str, **texts: object) -> list[str]:
    """Return the place of every problem: file, row and column."""
    with pytest.raises(InputError) as wrong:
        priced(folder, *sets, **texts)
    return [f"{p.file}:{p.row or ''}:{p.column}" for p in wrong.value.problems]


def test_an_unknown_circuit_or_area_of_the_inputs_is_told_beside_what_is_wrong_in_the_schedule(tmp_path: Path) -> None:
    schedule = (
        "circuit,device,run_ft,fed_from,area\nP-1,duplex,20,,kitchen\nP-1,duplexx,20,,kitchen\nP-2,duplex,9,nowhere,\n"
    )
    toml = '[circuits."P-9"]\nrepeat = 2\n[areas.kitchn]\ninstalled_pct = 10\n[areas.kitchen]\ninstalled_pct = 20\n'
    found = told(tmp_path, schedule=schedule, toml=toml)
    assert found == ["s.csv:3:device", "s.csv:4:fed_from", "i.toml::areas.kitchn", "i.toml::circuits.P-9"]


def test_no_name_is_called_unknown_where_the_schedule_has_an_entry_that_could_not_be_read(tmp_path: Path) -> None:
    schedule = "circuit,device,run_ft\nP-1,duplex,20\n,duplex,20\n"
    assert told(tmp_path, schedule=schedule, toml='[circuits."P-9"]\nrepeat = 2\n') == ["s.csv:3:circuit"]


def test_a_pulled_run_without_construction_is_told_beside_all_else(tmp_path: Path) -> None:
    """A row with an error of its own, here in the same column, is told of that alone."""
    schedule = (
        "box,circuit,device,run_ft,fed_from,run_construction,run_state\n"
        "A,P-1,duplex,20,,,pulled\nB,P-1,duplex,20,nowhere,,\nC,P-2,duplex,9,,acc,pulled\nD,P-3,duplex,9,,ac,pulled\n"
    )
    found = told(tmp_path, schedule=schedule)
    assert found == ["s.csv:2:run_construction", "s.csv:3:fed_from", "s.csv:4:run_construction"]


def test_what_the_inputs_say_in_place_of_the_schedule_is_told_beside_its_wiring_and_the_home_runs(
    tmp_path: Path,
) -> None:
    schedule = "box,circuit,device,run_ft,fed_from\nA,P-1,duplex,20,\nB,P-1,duplex,20,nowhere\n"
    toml = '[boxes.Z]\nrun_ft = 3\n[circuits."P-1"]\nrepeat = 0\n'
    found = told(tmp_path, "home_run_construction=acc", "wage=3", schedule=schedule, toml=toml)
    assert found == [
        *("--set::wage", "inputs::home_run_construction"),
        *("i.toml::boxes.Z", "i.toml::circuits.P-1.repeat", "s.csv:3:fed_from"),
    ]


def test_options_quotes_and_schedule_are_told_beside_an_inputs_file_that_is_no_toml(tmp_path: Path) -> None:
    quotes = {"q.csv": "item,unit,price\nnothing-of-it,M,3\n"}
    found = told(tmp_path, "wage=3", schedule="circuit,device,run_ft\nP-1,duplexx,20\n", toml="a =\n", quotes=quotes)
    assert found[:3] == ["i.toml::", "--set::wage", "s.csv:2:device"]


def test_rows_of_the_schedule_are_told_beside_the_room_types(tmp_path: Path) -> None:
    from dataclasses import replace

    from takeoff.build import compute
    from tests.priced import laid

    (tmp_path / "rooms.csv").write_text(ROOMS.replace(",C,duplex,9\n,D,duplex,9\n", ""), encoding="utf-8")
    schedule = "room,circuit,device,run_ft,home_run_ft\noffice,P-1,,,20\n,P-2,lamp,9,\n"
    options = replace(laid(tmp_path, schedule=schedule), rooms=tmp_path / "rooms.csv")
    with pytest.raises(InputError) as wrong:
        compute(options)
    assert [f"{p.file}:{p.row}:{p.column}" for p in wrong.value.problems] == ["rooms.csv:3:device", "s.csv:3:device"]
    (tmp_path / "rooms.csv").write_text(ROOMS, encoding="utf-8")
    with pytest.raises(InputError) as wrong:
        compute(options)
    places = [f"{p.file}:{p.row}:{p.column}" for p in wrong.value.problems]
    assert places[:2] == ["rooms.csv:4:room", "rooms.csv:5:room"]


def test_files_that_cannot_be_read_are_told_beside_catalogs_that_are_wrong(tmp_path: Path) -> None:
    prices = "item,price_usd\nac-12-2,-3\n"
    found = told(tmp_path, toml="a =\n", catalogs={"prices": prices})
    assert found == ["prices.csv:2:price_usd", "i.toml::"]
