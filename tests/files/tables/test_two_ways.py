"""One file by two ways: what an import makes of it, a day that watches it makes as well, byte for byte."""

import pytest

from balance.files.tables.importing.plan import ImportOptions
from balance.files.tables.importing.planning import plan_import
from tests.known_day import VEHICLE, header, row_of, runs
from tests.two_ways import same_either_way, watched

HEAD = "run,configuration,front_lift [N],rear_lift [N],drag [N]"
OPEN = {"speed": "160 km/h", "air_density": "1.2 kg/m^3", "forces": "as read", "configuration": "as run"}
KNOWN_DAY = "\n".join(",".join(f'"{cell}"' for cell in row) for row in (header(), *map(row_of, runs())))
WATCHED = {  # the files that the tests of the watched file read, whole
    "our own heads": f"{HEAD}\n11,flap,-90,-200,1155\n12,wing,-95,-210,1160\n",
    "heads of theirs": "Tunnel 3 (invented); day 12\nLift F [N];FZ rear [N];Drag N;Config;Run No\n"
    "-96;214;1180;base;11\n-97;215;1181;flap;12\n",
    "units in a row of their own": "Tunnel 3 (invented), day 12\nRun;Lift F;FZ rear;Drag\n;N;N;N\n11;-96;214;1180\n",
    "the header again": "Lift F [N];FZ rear [N];Drag [N];Run\n-96;214;1180;11\nLift F [N];FZ rear [N];Drag [N];Run\n",
    "facts above": "Facility\tTunnel 3\nDate\t2031-05-01\n\nLift F [N]\tFZ rear [N]\tDrag [N]\tRun No\n-96\t214\t1180\t11\n",
    "a decimal comma": "Run;Lift F [N];Lift R [N];Drag [N]\n11;-96,4;214,2;873\n12;\u221297,0;(215,2);1.162,5\n",
    "speeds and remarks": "Run No,Config,Lift F [N],Lift R [N],Drag N,Wind [m/s],Remarks\n11,base,-96,-214,1180,44,tufts off\n",
    "tares and averages": f"{HEAD}\ntare,,0,0,1\n11,base,-90,-200,1155\nmean,,-90,-200,1156\n",
    "settings that are off": f"{HEAD},wing_angle [deg],gurney [mm],vents\n1,base,84,260,1150,4,10,open\n2,off,90,250,1100,off,-,none\n",
    "operators, some blank": f"{HEAD},operator,block\n1,base,84,260,1150,Mabel,dawn\n2,base,85,261,1151,,\n",
    "a baseline": f"{HEAD},baseline\n1,base,84,260,1150,\n2,wing,-84,-260,1250,1\n",
    "an export": "# axletrim export 1,,,,\n# title = 'x',,,,\n# [facility],,,,\n# speed = '160 km/h',,,,\n"
    f"# air_density = '1.2 kg/m^3',,,,\n{HEAD}\n1,base,84,260,1150\ntare,base,1,2,3\n",
    "the day of known truth": KNOWN_DAY,
}


@pytest.fixture
def plan_of(tmp_path):
    (tmp_path / "vehicle.toml").write_text(VEHICLE, encoding="utf-8")

    def plan(text, **answers):
        source = tmp_path / "theirs.csv"
        source.write_text(text, encoding="utf-8")
        options = ImportOptions(**{**OPEN, "lift_sign": None, **answers})
        return plan_import(source, vehicle=tmp_path / "vehicle.toml", options=options)

    return plan


@pytest.mark.parametrize("text", WATCHED.values(), ids=WATCHED)
def test_files_that_are_watched_make_the_same_day_imported(plan_of, text):
    plan = plan_of(text)
    if plan.questions:  # FZ does not say which way it counts
        plan = plan_of(
            text,
            lift_sign="up",
            units={"speed": "m/s"},
            columns={"speed": "Wind [m/s]"} if "Wind" in text else {},
        )
    assert plan.questions == ()
    assert len(plan.rows) > 0
    assert same_either_way(plan)


def test_the_two_ways_are_held_against_one_another(plan_of):
    plan = plan_of(WATCHED["our own heads"])
    assert same_either_way(plan)
    plan.source.write_text(WATCHED["our own heads"].replace("-95", "-96"), encoding="utf-8")
    assert "12,wing,-96,-210,1160" in watched(plan)[0]
    with pytest.raises(AssertionError):
        same_either_way(plan)
