"""What can hardly be meant: each notice against figures worked out by hand; the samples have none."""

from __future__ import annotations

from pathlib import Path

from takeoff.build import Options, read_job
from tests.conftest import Counter
from tests.tables import rows


def told(folder: Path, text: str, *sets: str) -> list[str]:
    path = folder / "s.csv"
    path.write_text(text, encoding="utf-8")
    return [str(p) for p in read_job(Options(path, sets=sets)).job.notices]


def test_850_ft_instead_of_85_ft(tmp_path: Path):
    """The others are 12, 12 and 14 ft, their median 12; 850 / 12 = 71 times."""
    rows = ["B1,P-1,duplex,60", "B2,P-1,duplex,12", "B3,P-1,duplex,850", "B4,P-1,duplex,12", "B5,P-1,duplex,14"]
    assert told(tmp_path, "\n".join(["box,circuit,device,run_ft", *rows])) == [
        's.csv:4:run_ft: is 71 times the median of the other runs of circuit P-1, 12 ft: "850"; compare it with the drawing'
    ]


def test_a_home_run_is_compared_with_those_of_its_panel_and_alone_with_500_ft(tmp_path: Path):
    """80, 90 and 100 ft have the median 90; 900 / 90 = 10 times. A panel with one circuit has nothing to compare."""
    rows = ["A,P-1,duplex,80", "B,P-2,duplex,900", "C,P-3,duplex,90", "D,P-4,duplex,100", "E,Q-1,duplex,501"]
    assert told(tmp_path, "\n".join(["box,circuit,device,run_ft", *rows])) == [
        's.csv:3:run_ft: is 10 times the median of the home runs of panel P, 90 ft: "900"; compare it with the drawing',
        's.csv:6:run_ft: is longer than a run of a branch circuit usually is: "501"; compare it with the drawing',
    ]


def test_runs_five_times_the_others_or_up_to_60_ft_are_usual(tmp_path: Path):
    rows = [
        "A,P-1,duplex,80",
        "B,P-1,duplex,10",
        "C,P-1,duplex,10",
        "D,P-1,duplex,60",
        "E,P-1,duplex,20",
        "F,P-1,duplex,20",
    ]
    assert told(tmp_path, "\n".join(["box,circuit,device,run_ft", *rows])) == []


def test_loads_beyond_the_breaker(tmp_path: Path):
    """120 V x 20 A = 2400 VA; 2 poles and neutral of 208Y/120 carry twice that, 4800; 3 poles 3 x 120 x 20 = 7200."""
    head = "box,circuit,device,run_ft,load_va,breaker_a,poles,volts,neutral"
    rows = [
        "A,P-1,junction,10,2400,20,1,120,",
        "B,P-2,junction,10,2401,20,1,120,",
        "C,P-3,junction,10,4801,20,2,208,yes",
        "D,P-4,junction,10,4161,20,2,208,no",
        "E,P-5,junction,10,7201,20,3,208,no",
        "F,P-6,junction,10,24010,20,1,120,",
    ]
    found = [line for line in told(tmp_path, "\n".join([head, *rows])) if "load_va" in line]
    assert [line.partition(" carries, ")[2].partition(" VA")[0] for line in found] == [
        "2,400",
        "2,400",
        "4,160",
        "4,800",
        "7,200",
    ]
    assert [line.split(":")[1] for line in found] == ["7", "3", "5", "4", "6"]  # the worst first


def test_voltages_and_breakers_that_a_device_is_not_made_for(tmp_path: Path):
    """NEC Table 210.21(B)(3): receptacles of 15 and 20 A on circuits up to 20 A."""
    head = "box,circuit,device,run_ft,breaker_a,poles,volts,neutral"
    rows = [
        "A,P-1,duplex,10,20,1,277,",
        "B,P-2,luminaire,10,20,1,277,",
        "C,P-3,duplex,10,30,1,120,",
        "D,P-4,receptacle-2p,10,30,2,240,",
        "E,P-5,receptacle-2p,10,30,2,480,",
        "F,P-6,duplex,10,20,2,208,yes",
        "A2,P-1,duplex,10,20,1,277,",
    ]
    found = told(tmp_path, "\n".join([head, *rows]))
    assert [line for line in found if "ends here" not in line] == [
        's.csv:2:volts: of circuit P-1 is not a voltage of duplex in A and 1 more: "277"; it is made for 120 V',
        's.csv:6:volts: of circuit P-5 is not a voltage of receptacle-2p in E: "480"; it is made for 208 or 240 V',
        's.csv:4:breaker_a: of P-3 is larger than duplex in C is usually behind: "30"; up to 20 A',
    ]


def test_several_poles_without_a_voltage_are_asked_for(tmp_path: Path):
    found = told(tmp_path, "box,circuit,device,run_ft,breaker\nA,P-1,equipment-2p,10,30A/2P\n")
    assert found[0] == (
        's.csv:2:volts: of circuit P-1, 2 poles, are not given and taken as: "120"; such as 208, 240 or 480'
    )


def test_a_load_between_two_hots_beside_a_neutral_is_asked_for_too(tmp_path: Path):
    head = "box,circuit,device,run_ft,poles,neutral\n"
    asked = told(tmp_path, head + "A,P-1,receptacle-2p-wide,10,2,yes\n")
    assert [line.split(": ")[0] for line in asked if "load" not in line] == ["s.csv:2:volts"]
    assert told(tmp_path, head + "A,P-1,duplex+duplex,10,1,yes\n") == []


def test_drops_are_stated_and_can_be_left_out(tmp_path: Path):
    """Ceiling 10 ft, box at 18 in: 10 - 1.5 = 8.5 ft at each end, none at the panel: 8.5 + 17 = 25.5 ft, twice built."""
    text = "box,circuit,device,run_ft,height_in,ceiling_ft,repeat\nA,P-1,duplex,40,18,10,2\nB,P-1,duplex,12,18,,\n"
    assert told(tmp_path, text) == ["s.csv:height_in: drops of 51 ft are added to the runs; drops=no leaves them out"]
    read = read_job(Options(tmp_path / "s.csv"))
    assert [b.run_ft for b in read.job.boxes] == [48.5, 29]
    assert [b.run_ft for b in read_job(Options(tmp_path / "s.csv", sets=("drops=no",))).job.boxes] == [40, 12]


def test_the_sheet_schedule_shows_what_of_a_run_is_drops(count: Counter):
    text = "box,circuit,device,run_ft,height_in,ceiling_ft\nA,P-1,duplex,40,18,10\nB,P-1,duplex,12,18,\n"
    lines = [(r["run_ft"], r["drop_ft"]) for r in rows(count(text), "schedule")]
    assert lines == [(48.5, 8.5), (29, 17)]
    assert "drop_ft" not in {c.name for c in count(text, "drops=no").build.book.tables["schedule"]}


def test_heights_without_a_ceiling_or_above_it_add_nothing_and_say_so(tmp_path: Path):
    text = "box,circuit,device,run_ft,height_in,ceiling_ft,area\nA,P-1,duplex,40,18,,x\nB,P-1,duplex,12,130,10,y\n"
    assert told(tmp_path, text) == [
        's.csv:3:height_in: is above the ceiling of its area, 10 ft: "130"; no drop is added',
        "s.csv:2:height_in: is given for 1 boxes without a ceiling_ft for their area; no drop is added to them",
    ]
