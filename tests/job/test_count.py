"""Rows that stand for several boxes: chains, ids, home runs, rooms; each equals the same written out."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from takeoff.build import Options, read_job
from takeoff.catalog.load import load_catalogs
from takeoff.catalog.rows import Catalogs
from takeoff.job.inputs import load_inputs
from takeoff.job.records import Reading
from takeoff.job.schedule import read_schedule
from takeoff.report.expanded import expanded_text
from takeoff.text.problems import InputError
from takeoff.wiring.sizing import conditions_of
from takeoff.wiring.tree import Job, wire


def job_of(folder: Path, text: str, catalogs: Catalogs, reading: Reading | None = None) -> Job:
    path = folder / "s.csv"
    path.write_text(text, encoding="utf-8")
    return wire(read_schedule(path, catalogs, reading), catalogs, conditions_of(load_inputs(catalogs)))


def wrong(folder: Path, text: str, catalogs: Catalogs) -> list[str]:
    with pytest.raises(InputError) as error:
        job_of(folder, text, catalogs)
    return [str(p) for p in error.value.problems]


def chains(job: Job) -> list[tuple[str, float, str]]:
    return [(b.source.box, b.run_ft, b.upstream.source.box if b.upstream else "panel") for b in job.boxes]


def test_a_count_is_a_chain_from_the_row_above(tmp_path: Path, catalogs: Catalogs):
    text = "box,circuit,device,count,run_ft,next_ft\nA,P-1,duplex,1,60,\nB,P-1,duplex,3,12,8.5\nC,P-1,gfci,1,9,\n"
    assert chains(job_of(tmp_path, text, catalogs)) == [
        ("A", 60, "panel"),
        ("B-1", 12, "A"),
        ("B-2", 8.5, "B-1"),
        ("B-3", 8.5, "B-2"),
        ("C", 9, "B-3"),
    ]


def test_boxes_without_ids_get_some_that_no_other_has(tmp_path: Path, catalogs: Catalogs):
    text = "box,circuit,device,count,run_ft,next_ft\nP-1.2,P-1,duplex,,60,\n,P-1,duplex,2,12,8\n,Q-1,duplex,,7,\n"
    job = job_of(tmp_path, text, catalogs)
    assert [b.source.box for b in job.boxes] == ["P-1.2", "P-1.1", "P-1.3", "Q-1.1"]
    told = [str(p) for p in job.notices]
    assert told == [
        's.csv:box: boxes without an id: 3, ids made of circuit and number, such as "P-1.1"; check --expanded shows them'
    ]


def test_the_feet_between_boxes_are_an_input_by_kind_of_device(tmp_path: Path):
    path = tmp_path / "s.csv"
    path.write_text(
        "circuit,device,count,run_ft\nP-1,duplex,2,60\nP-2,switch,1,20\nP-2,luminaire,3,10\nP-3,junction,2,5\n"
    )
    sets = ("next_receptacle_ft=11", "next_luminaire_ft=7.5", "next_other_ft=4")
    assert [b.run_ft for b in read_job(Options(path, sets=sets)).job.boxes] == [60, 11, 20, 10, 7.5, 7.5, 5, 4]


def test_a_home_run_is_fed_from_the_panel(tmp_path: Path, catalogs: Catalogs):
    text = "circuit,device,count,home_run_ft,run_ft,next_ft\nP-1,duplex,2,72,,9\nP-1,duplex,2,,,8\nP-1,duplex,1,40,,\n"
    assert chains(job_of(tmp_path, text, catalogs)) == [
        ("P-1.1", 72, "panel"),
        ("P-1.2", 9, "P-1.1"),
        ("P-1.3", 8, "P-1.2"),
        ("P-1.4", 8, "P-1.3"),
        ("P-1.5", 40, "panel"),
    ]


BAD = [
    ("box,circuit,device,count,run_ft\nB,P-1,duplex,0,9\n", ['s.csv:2:count: is out of range: "0"; from 1 to 10000']),
    (
        "box,circuit,device,count,run_ft,fed_from\nB,P-1,duplex,3,9,\nC,P-1,duplex,1,9,B\n",
        ['s.csv:3:fed_from: stands for the boxes B-1 to B-3: "B"; one of them'],
    ),
    (
        "circuit,device,home_run_ft,run_ft,fed_from\nP-1,duplex,60,9,\nP-1,duplex,60,,X\n",
        [
            's.csv:2:home_run_ft: stands beside run_ft: "60"; the run from the panel in one of them; from box to box of a count it is next_ft',
            's.csv:3:fed_from: stands beside home_run_ft: "X"; panel, or blank: a home run begins there',
        ],
    ),
    (
        "circuit,device,next_ft\nP-1,duplex,9\n".replace("next_ft", "next_ft,run_ft").replace(",9", ",9,"),
        ["s.csv:2:run_ft: is blank; the routed length of the feeding cable"],
    ),
    (
        "panel,circuit,device,run_ft\nLP,1,duplex,9\n,3,duplex,9\n",
        ["s.csv:3:panel: is blank beside the circuit 3; the panel that the number is of"],
    ),
    (
        "circuit,device,run_ft,breaker,poles\nP-1,duplex,9,20/1,2\n",
        ['s.csv:2:poles: disagrees with row 2, which says "20/1": "2"; one value for the whole circuit'],
    ),
]


@pytest.mark.parametrize(("text", "messages"), BAD)
def test_what_a_count_or_home_run_cannot_mean_is_an_error(
    tmp_path: Path, catalogs: Catalogs, text: str, messages: list[str]
):
    assert wrong(tmp_path, text, catalogs) == messages


def test_a_row_of_totals_is_one_error(tmp_path: Path, catalogs: Catalogs):
    text = "circuit,device,run_ft,count,note\nP-1,duplex,9,,\n,,,1,TOTAL\n"
    said = 's.csv:3: has neither circuit nor device nor length: "1 TOTAL"; delete it where it is a total or a title'
    assert wrong(tmp_path, text, catalogs) == [said]


def test_poles_may_be_said_with_their_letter(tmp_path: Path, catalogs: Catalogs):
    text = (
        "circuit,device,run_ft,poles,volts\nP-1,equipment,9,2P,208\nP-2,equipment,9,3-pole,208\nP-3,equipment,9,1,120\n"
    )
    assert [c.poles for c in job_of(tmp_path, text, catalogs).circuits] == [2, 3, 1]


def test_numbers_of_two_panels_are_different_circuits(tmp_path: Path, catalogs: Catalogs):
    text = "panel,circuit,device,run_ft,from\nLA,1,duplex,9,Panel LA\n,#1,duplex,8,\nLB,Ckt 1,duplex,7,LB\n"
    job = job_of(tmp_path, text, catalogs)
    assert [(c.name, c.panel, len(c.boxes)) for c in job.circuits] == [("LA-1", "LA", 2), ("LB-1", "LB", 1)]


def test_a_load_is_that_of_each_box_and_told(tmp_path: Path, catalogs: Catalogs):
    text = "circuit,device,count,run_ft,next_ft,load\nP-1,duplex,4,9,9,360 VA\n"
    job = job_of(tmp_path, text, catalogs)
    assert [b.load_va for b in job.boxes] == [360] * 4
    assert 's.csv:2:load: is taken for each of the 4 boxes: "360 VA"' in [str(p) for p in job.notices]


shipped = cache(load_catalogs)
ROOMS = "room,circuit,box,device,run_ft,breaker\nexam,a,R1,duplex-hg,8,20\nexam,a,R2,duplex-hg,6,\nexam,b,L,luminaire,9,\nden,,,duplex,5,\n"
BAD_ROOMS = [
    ("P-1,exm,2,60,,,,", ['s.csv:2:room: is no room type: "exm"; accepted: exam, den; or the device of the box']),
    (
        "P-1,exam,2,,10,5,,",
        ["s.csv:2:home_run_ft: is blank, but the room exam has 2 circuits; the feet from the panel to the room"],
    ),
    (
        "P-1,den,2,,,,,",
        ["s.csv:2:run_ft: is blank; the feet from the box before to the room, or home_run_ft from the panel"],
    ),
    (
        "P-1,den,2,,9,,,",
        ["s.csv:2:next_ft: is blank; the feet from room to room, or home_run_ft from the panel to each"],
    ),
    ("P-1,den,2,60,,,#10,", ['s.csv:2:awg: is not used where the room den is placed: "#10"; say it in the room type']),
    (
        "P-1,exam,1,60,,,,30",
        ['s.csv:2:breaker_a: disagrees with row 2, which says "30": "20"; one value for the whole circuit'],
    ),
]


def placed(folder: Path, row: str) -> list[str]:
    (folder / "rooms.csv").write_text(ROOMS)
    path = folder / "s.csv"
    path.write_text(f"circuit,room,count,home_run_ft,run_ft,next_ft,awg,breaker_a,device\n{row},\n")
    with pytest.raises(InputError) as error:
        read_job(Options(path, rooms=folder / "rooms.csv"))
    return [str(p) for p in error.value.problems]


@pytest.mark.parametrize(("row", "messages"), BAD_ROOMS)
def test_what_a_placed_room_lacks_or_cannot_use_is_an_error(tmp_path: Path, row: str, messages: list[str]):
    assert placed(tmp_path, row) == messages


def test_what_is_wrong_in_a_room_type_is_told_once_with_its_own_row(tmp_path: Path):
    path = tmp_path / "s.csv"
    path.write_text("circuit,room,count,home_run_ft,device\nP-1,exam,6,60,\n")
    (tmp_path / "rooms.csv").write_text("room,device,run_ft\nexam,duplexx,5\n")
    with pytest.raises(InputError) as error:
        read_job(Options(path, rooms=tmp_path / "rooms.csv"))
    assert [(p.file, p.row, p.column) for p in error.value.problems] == [("rooms.csv", 2, "device")]


SAME = [("Duplex receptacle", "duplex"), ("GFI", "gfci"), ("Quad", "duplex+duplex"), ("J-Box", "junction")]
LENGTHS = [("12'-6\"", "12.5"), ("85'", "85"), ("9 ft", "9"), ('30"', "2.5"), ("7.62 m", "25")]
ROWS = st.lists(
    st.tuples(
        *(st.sampled_from(["P-1", "P-2", "Q-1"]), st.sampled_from(SAME), st.integers(1, 4)),
        *(
            st.sampled_from(LENGTHS),
            st.sampled_from(LENGTHS),
            st.sampled_from([("Damp location", "damp"), ("dry", "")]),
        ),
    ),
    min_size=1,
    max_size=8,
)


@settings(deadline=None, max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(rows=ROWS)
def test_counts_and_aliases_equal_the_same_written_out(tmp_path: Path, rows: list[tuple[Any, ...]]):
    """Written by hand: every box on its own row, our own words, the length of each run in feet."""
    catalogs = shipped()
    trade, ours = ["Ckt,Device,Qty,Run,Next,Environment"], ["box,circuit,device,run_ft,space"]
    numbers: dict[str, int] = {}
    for circuit, device, count, run, onward, space in rows:
        quoted = ['"' + text[0].replace('"', '""') + '"' for text in (run, onward)]
        trade.append(",".join([circuit, device[0], str(count), *quoted, space[0]]))
        for place in range(count):
            numbers[circuit] = numbers.get(circuit, 0) + 1
            ours.append(
                f"{circuit}.{numbers[circuit]},{circuit},{device[1]},{(onward if place else run)[1]},{space[1]}"
            )
    first = expanded_text(job_of(tmp_path, "\n".join(trade) + "\n", catalogs))
    assert first == expanded_text(job_of(tmp_path, "\n".join(ours) + "\n", catalogs))
    assert first == expanded_text(job_of(tmp_path, first, catalogs))


def test_a_fact_told_in_a_room_type_is_that_of_every_circuit_placed_and_survives_the_expansion(tmp_path: Path):
    path, again = tmp_path / "s.csv", tmp_path / "again.csv"
    path.write_text("circuit,room,count,home_run_ft,device,In insulation\nP-1,plant,2,60,,\nP-2,,,40,duplex,N\n")
    (tmp_path / "rooms.csv").write_text("room,device,run_ft,load_kind,in_insulation\nplant,motor-1p,5,Motor,Y\n")
    job = read_job(Options(path, rooms=tmp_path / "rooms.csv")).job
    motor = {"load_kind": "motor", "in_insulation": "yes"}
    facts = [motor, motor, {"in_insulation": "no"}]
    assert [c.facts for c in job.circuits] == facts
    again.write_text(expanded_text(job), encoding="utf-8")
    assert [c.facts for c in read_job(Options(again)).job.circuits] == facts


def test_motors_of_a_count_stand_as_far_apart_as_equipment(tmp_path: Path):
    path = tmp_path / "s.csv"
    path.write_text("circuit,device,count,run_ft\nP-1,motor-1p,2,60\n")
    read = read_job(Options(path, sets=("next_equipment_ft=33",)))
    assert [box.run_ft for box in read.job.boxes] == [60, 33]


def test_an_answer_that_is_none_says_which_are(tmp_path: Path, catalogs: Catalogs):
    text = "box,circuit,device,run_ft,class_division\nA,P-1,duplex,60,1-1\n"
    assert wrong(tmp_path, text, catalogs) == [
        's.csv:2:class_division: is no answer: "1-1"; accepted: unknown, I-1, I-2, II-1, II-2, III, zone'
    ]
