"""Each command gives as a process what it gives in the process of the tests."""

import pytest

COMMANDS = {
    "brief": ("brief", "DEMO", "-o", "page.html"),
    "chart": ("chart", "DEMO", "loads", "-o", "loads.svg"),
    "check": ("check", "DEMO"),
    "compare": ("compare", "DEMO", "4", "15"),
    "curve": ("curve", "DEMO", "--setting", "wing_angle"),
    "demo": ("demo", "--copy", "cars"),
    "explain": ("explain", "grip surplus"),
    "export": ("export", "DEMO", "-o", "day.xlsx"),
    "import": ("import", "nothing.csv"),
    "new": ("new", "car", "mine"),
    "open": ("open", "DEMO"),
    "parts": ("parts", "DEMO"),
    "scatter": ("scatter", "DEMO"),
    "sweep": ("sweep", "DEMO", "15"),
    "table": ("table", "DEMO"),
    "trim": ("trim", "DEMO", "--from", "16", "--setting", "wing_angle"),
    "what-if": ("what-if", "DEMO"),
    "wing": ("wing", "DEMO"),
}


def test_every_command_is_here(axletrim):
    told = axletrim("--help").stdout.partition("Commands:\n")[2].partition("\n\n")[0].splitlines()
    listed = {line.split()[0] for line in told if line[2] != " "}
    assert listed | {"wing"} == set(COMMANDS)  # the older name of trim is not listed


@pytest.mark.parametrize("command", COMMANDS)
def test_a_process_says_the_same(axletrim, demo, tmp_path, unit_cache, command):
    (tmp_path / "there").mkdir()
    there = type(axletrim)(tmp_path / "there", unit_cache)
    arguments = [demo if one == "DEMO" else one for one in COMMANDS[command]]
    here, process = axletrim(*arguments), there.process(*arguments)
    assert (process.returncode, process.stdout, process.stderr) == (here.returncode, here.stdout, here.stderr)
