"""What the inputs file says in place of the schedule, and the exact sentences where it is wrong."""

from __future__ import annotations

from pathlib import Path

import pytest

from takeoff.build import compute
from takeoff.text.problems import InputError
from tests.priced import laid

BAD = [
    ("boxes = 4\n", 'boxes: is no table: "4"; lines such as [boxes."name"]'),
    ("[boxes]\nR1 = 4\n", 'boxes.R1: is no table: "4"; [boxes."R1"] with lines below it'),
    ("[boxes.R9]\nrun_ft = 4\n", "boxes.R9: is not in the schedule; accepted: R1, R2, R3, L1, R4"),
    ("[boxes.R1]\nrun = 4\n", "boxes.R1.run: is no part of a box; accepted: run_ft"),
    ("[boxes.R1]\nrun_ft = 0\n", 'boxes.R1.run_ft: is not accepted: "0"; more than 0 and up to 10,000 ft'),
    (
        "[circuits.KP-1]\nrepeat = 1.5\n",
        'circuits.KP-1.repeat: is not accepted: "1.5"; a whole number from 1 to 10,000',
    ),
    (
        '[circuits.KP-1]\nconstruction = "nm"\n',
        'circuits.KP-1.construction: is not a construction: "nm"; one of as planned, ac, mc-wire, mc-armor, '
        "ac-redundant, mc-redundant, emt-wire, emt-bare",
    ),
    ("[circuits.KP-9]\nrepeat = 2\n", "circuits.KP-9: is not in the schedule; accepted: KP-1, KP-2, KP-4"),
]


@pytest.mark.parametrize(("toml", "said"), BAD)
def test_what_is_wrong_is_said(tmp_path: Path, toml: str, said: str):
    with pytest.raises(InputError) as wrong:
        compute(laid(tmp_path, toml=toml))
    assert [str(p) for p in wrong.value.problems] == [f"i.toml:{said}"]


def test_runs_repeats_and_constructions_of_the_inputs_file_count(tmp_path: Path):
    toml = '[boxes.r2]\nrun_ft = 85.5\n[circuits.kp-1]\nrepeat = 3\nconstruction = "mc-armor"\nheight = "from-ladder"\n'
    job = compute(laid(tmp_path, toml=toml)).job
    assert {b.source.box: b.source.run_ft for b in job.boxes}["R2"] == 85.5
    first = job.circuits[0]
    assert (first.name, first.repeat, first.construction) == ("KP-1", 3, "mc-armor")


def test_a_circuit_held_in_the_schedule_is_left_to_the_plan(tmp_path: Path):
    schedule = "box,circuit,device,run_ft,construction\nR1,KP-1,duplex,46,ac\n"
    for said in ("as planned", "free"):
        built = compute(laid(tmp_path, toml=f'[circuits.KP-1]\nconstruction = "{said}"\n', schedule=schedule))
        assert built.job.circuits[0].construction == "free"
