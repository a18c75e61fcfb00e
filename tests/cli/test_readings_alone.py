"""A run's label means its configuration wherever a car is asked for; with --reading it means the run alone."""

import json

import pytest

COMMANDS = {
    "compare": (("compare", "4", "17"), lambda found: found["runs"]),
    "sweep": (("sweep", "17", "--from", "160 km/h", "--to", "160 km/h"), lambda found: found["runs"]),
}
STARTS = {
    "trim": (("trim", "--from", "17", "--setting", "wing_angle"), lambda found: found["before"]),
    "what-if": (("what-if", "--set", "from=17"), lambda found: found["what_ifs"][0]["start"]),
    "sweep": (
        ("sweep", "17", "--from", "160 km/h", "--to", "160 km/h"),
        lambda found: {key: value[0] for key, value in found.items() if isinstance(value, list)},
    ),
}
FIGURES = (
    "front_downforce_N",
    "front_downforce_N_std",
    "rear_downforce_N",
    "rear_downforce_N_std",
    "drag_N",
    "drag_N_std",
    "grip_surplus",
    "grip_surplus_interval",
)


@pytest.fixture
def record(axletrim, demo):
    def read(command, *arguments):
        result = axletrim(command, demo, *arguments, "--json")
        assert result.returncode == 0, result.stderr
        return json.loads(result.stdout)

    return read


@pytest.mark.parametrize("command", COMMANDS)
def test_runs_behind_a_label(record, command):
    (name, *arguments), runs = COMMANDS[command]
    assert runs(record(name, *arguments)) == ["15", "17"]
    assert runs(record(name, *arguments, "--reading")) == ["17"]


@pytest.mark.parametrize("command", STARTS)
@pytest.mark.parametrize("alone", [False, True], ids=["configuration", "reading"])
def test_one_name_has_one_number(record, command, alone):
    """The car that a command starts from reads as the table has it, its uncertainty too."""
    (name, *arguments), start = STARTS[command]
    table = record("table")["runs" if alone else "configurations"]
    row = next(row for row in table if row["run"] == ("17" if alone else "15"))
    found = start(record(name, *arguments, *(["--reading"] if alone else [])))
    for key in FIGURES:
        assert found[key] == pytest.approx(row[key], rel=1e-9), key


def test_a_picture_of_one_reading(axletrim, demo, tmp_path):
    pictures = []
    for extra in ((), ("--reading",)):
        path = tmp_path / f"{len(extra)}.svg"
        result = axletrim("chart", demo, "surplus", "--run", "17", *extra, "-o", path)
        assert result.returncode == 0, result.stderr
        pictures.append(path.read_text("utf-8"))
    assert pictures[0] != pictures[1]
