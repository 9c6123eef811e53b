"""Words of the trade: the same word is taken and told once, what only resembles one is an error with candidates."""

from __future__ import annotations

from pathlib import Path

import pytest

from takeoff.catalog.load import load_catalogs
from takeoff.catalog.rows import Catalogs
from takeoff.job.records import Reading, Schedule
from takeoff.job.schedule import read_schedule
from takeoff.job.words import POLES, SAID, bare, candidates, load_words
from takeoff.text.problems import InputError


def read(folder: Path, text: str, catalogs: Catalogs, reading: Reading | None = None) -> Schedule:
    path = folder / "s.csv"
    path.write_text(text, encoding="utf-8")
    return read_schedule(path, catalogs, reading)


def errors(schedule: Schedule) -> list[str]:
    return [str(p) for p in schedule.problems.errors()]


def test_every_alias_stands_for_something_known_and_is_told_apart_from_keys(catalogs: Catalogs):
    words = load_words(catalogs)
    for row in catalogs["aliases"]:
        assert words.means(str(row["kind"]), str(row["alias"])) == row["means"]
        if row["kind"] in SAID:
            assert str(row["alias"]) not in catalogs[SAID[str(row["kind"])]]


@pytest.mark.parametrize(
    "spelled", ["Duplex receptacle", "DUPLEX  RECEPTACLES", "duplex-receptacle", "Duplex_Receptacle."]
)
def test_case_spaces_punctuation_and_a_plural_make_no_difference(spelled: str):
    assert bare(spelled) == "duplexreceptacle"


def test_an_alias_is_told_once_with_its_rows(tmp_path: Path, catalogs: Catalogs):
    text = "circuit,device,run_ft\nP-1,Duplex outlet,10\nP-1,duplex,9\nP-1,DUPLEX OUTLET,8\n"
    told = [str(p) for p in read(tmp_path, text, catalogs).problems.found]
    assert [t for t in told if "taken as" in t] == ['s.csv:2:device: taken as duplex on 2 rows: "Duplex outlet"']


def test_a_device_may_depend_on_the_poles_of_its_circuit(tmp_path: Path, catalogs: Catalogs):
    text = "circuit,device,run_ft,breaker\nP-1,pump,10,20/1\nP-2,pump,10,\nP-2,J-box,5,30/3\n"
    assert [b.devices for b in read(tmp_path, text, catalogs).boxes] == [
        ["equipment-1p"],
        ["equipment-3p"],
        ["junction"],
    ]


MEANT = [
    ("Recepticle", 0, "duplex (duplex receptacle)"),
    ("30A receptacle", 2, "receptacle-2p (two-pole receptacle, 208 or 240 V)"),
    ("LED flat panel troffer", 0, "luminaire (luminaire with leads under a canopy)"),
    ("dimmer w/ leads", 0, "dimmer-leads (wall dimmer with leads)"),
    ("Isolated-gnd receptacle", 0, "duplex-ig (isolated ground duplex receptacle)"),
    ("5 way switch", 0, "switch-3way (three-way switch)"),
    ("(2) Duplex", 0, "duplex (duplex receptacle)"),
    ("Disconnect 30A", 2, "equipment-2p (hard-wired equipment, two poles)"),
]


@pytest.mark.parametrize(("text", "poles", "first"), MEANT)
def test_candidates_share_words_and_not_letters_alone(catalogs: Catalogs, text: str, poles: int, first: str):
    offered = candidates(load_words(catalogs), "device", text, poles)
    assert offered.removeprefix("did you mean ").startswith(first)


def test_what_resembles_nothing_gets_the_devices_by_kind(catalogs: Catalogs):
    assert candidates(load_words(catalogs), "device", "xyzzy").startswith("accepted: receptacle: duplex, gfci")


def test_a_word_that_could_be_two_is_an_error(tmp_path: Path, catalogs: Catalogs):
    text = "circuit,device,run_ft,cable type,environment\nP-1,duplex,10,MC,outdoor\n"
    said = errors(read(tmp_path, text, catalogs))
    assert said[0].startswith('s.csv:2:environment: is not in the catalog: "outdoor"; accepted: general, patient-care')
    assert said[1].startswith(
        's.csv:2:cable type: is not in the catalog: "MC"; did you mean mc-wire (Type MC, insulated'
    )


def overlay(folder: Path, text: str) -> Catalogs:
    (folder / "own").mkdir()
    (folder / "own" / "aliases.csv").write_text("kind,alias,means\n" + text)
    return load_catalogs(folder / "own")


def test_an_overlay_adds_words_of_its_own(tmp_path: Path):
    catalogs = overlay(
        tmp_path, "heading,what it is,Device\ndevice,floor receptacle,DUPLEX\ndevice,pump,equipment-1p\n"
    )
    text = "circuit,What it is,run_ft\nP-1,Floor Receptacle,10\nP-1,pump,5\n"
    schedule = read(tmp_path, text, catalogs)
    assert [b.devices for b in schedule.boxes] == [["duplex"], ["equipment-1p"]]
    assert errors(schedule) == []


def test_an_alias_that_means_nothing_or_two_things_is_named_with_its_row(tmp_path: Path):
    catalogs = overlay(
        tmp_path, f"device,gizmo,duplexx\nheading,gizmo,tap\ndevice,fans,fan-{POLES}\ndevice,quads,gfci\n"
    )
    with pytest.raises(InputError) as wrong:
        load_words(catalogs)
    assert sorted((p.file, p.row, p.column, p.value) for p in wrong.value.problems) == [
        ("aliases.csv", 2, "means", "duplexx"),
        ("aliases.csv", 3, "means", "tap"),
        ("aliases.csv", 4, "alias", "fans"),
        ("aliases.csv", 4, "means", f"fan-{POLES}"),
        ("aliases.csv", 5, "alias", "quads"),
    ]


def test_a_title_is_a_word_too_unless_two_have_it(tmp_path: Path):
    """Aliases stand before titles: a device of the user with the title of another takes nothing away from it."""
    (tmp_path / "own").mkdir()
    shipped = load_catalogs()["devices"]["duplex"]
    columns = [c for c in shipped if c not in ("key", "source") and not c.startswith("_")]
    rows = [
        {**shipped, "device": key, "title": title}
        for key, title in (("d1", "duplex receptacle"), ("d2", "my own"), ("d3", "my own"), ("d4", "Tombstone box"))
    ]
    lines = [",".join(columns), *(",".join(str(row[c]) for c in columns) for row in rows)]
    (tmp_path / "own" / "devices.csv").write_text("\n".join(lines) + "\n")
    words = load_words(load_catalogs(tmp_path / "own"))
    said = [words.key_of("device", t) for t in ("Duplex receptacle", "My own", "tombstone boxes", "Tombstone-box")]
    assert said == ["duplex", "", "", "d4"]


LOST = [
    ("Wire type", "THHN", "awg", "its name looks"),
    ("Number of devices", "4", "device", "its name looks"),
    ("Rating", "30A/2P", "breaker_a", "its entries look"),
    ("Cond.", "#10", "awg", "its entries look"),
    ("Where", "damp", "space", "its entries look"),
    ("Method", "EMT", "construction", "its entries look"),
    ("How far", "85'", "run_ft", "its entries look"),
    ("Then", "GFCI receptacle", "device", "its entries look"),
]


@pytest.mark.parametrize(("title", "entry", "fact", "why"), LOST)
def test_a_column_that_looks_like_a_fact_is_an_error_until_it_is_ignored(
    tmp_path: Path, catalogs: Catalogs, title: str, entry: str, fact: str, why: str
):
    text = f"circuit,device,run_ft,{title}\nP-1,duplex,10,{entry}\n"
    accepted = f'rename it, or say that it is none of the kind: ignore_columns = "{title}"'
    said = errors(read(tmp_path, text, catalogs))
    message = f's.csv:1:{title}: is not a column of the schedule, but {why} like {fact}, such as: "{entry}"; {accepted}'
    assert said == [message]
    ignored = read(tmp_path, text, catalogs, Reading(ignored=[title.upper()]))
    assert errors(ignored) == []
    assert ignored.boxes[0].extra == [entry]


@pytest.mark.parametrize(("title", "entry"), [("Drawing", "E2.1"), ("Phase", "2"), ("Rev", "12"), ("Wire type", "")])
def test_other_columns_are_carried_through(tmp_path: Path, catalogs: Catalogs, title: str, entry: str):
    assert errors(read(tmp_path, f"circuit,device,run_ft,{title}\nP-1,duplex,10,{entry}\n", catalogs)) == []


def test_a_known_column_may_be_ignored_and_a_missing_one_is_told(tmp_path: Path, catalogs: Catalogs):
    text = "circuit,device,run_ft,length\nP-1,duplex,10,99\n"
    assert errors_of_header(tmp_path, text, catalogs) == [
        's.csv:1:run_ft: stands twice in the header: "length"; one column of each name'
    ]
    schedule = read(tmp_path, text, catalogs, Reading(ignored=["Length", "Gone"]))
    assert (schedule.boxes[0].run_ft, schedule.boxes[0].extra) == (10, ["99"])
    told = 's.csv:1: is named in ignore_columns and stands in no heading: "Gone"'
    assert told in [str(p) for p in schedule.problems.found]


def errors_of_header(folder: Path, text: str, catalogs: Catalogs) -> list[str]:
    with pytest.raises(InputError) as wrong:
        read(folder, text, catalogs)
    return [str(p) for p in wrong.value.problems]
