"""Each command gives as a process what it gives in the process of the tests."""

import pytest

COMMANDS = {
    "cautions": ("cautions",),
    "chart": ("chart", "DEMO", "loads", "-o", "loads.svg"),
    "check": ("check", "DEMO"),
    "compare": ("compare", "DEMO", "4", "15"),
    "demo": ("demo", "--copy", "cars"),
    "explain": ("explain", "grip balance"),
    "export": ("export", "DEMO", "-o", "day.xlsx"),
    "import": ("import", "nothing.csv"),
    "join": ("join", "DEMO", "DEMO"),
    "lap": ("lap", "DEMO"),
    "library": ("library", "list", "--library", "DEMO"),
    "new": ("new", "car", "mine"),
    "open": ("open", "DEMO"),
    "parts": ("parts", "DEMO"),
    "plan": ("plan", "DEMO"),
    "repeatability": ("repeatability", "DEMO"),
    "report": ("report", "DEMO", "-o", "page.html"),
    "response": ("response", "DEMO", "--setting", "wing_angle"),
    "speeds": ("speeds", "DEMO", "15"),
    "table": ("table", "DEMO"),
    "track": ("track", "show", "nothing"),
    "trim": ("trim", "DEMO", "--from", "16", "--setting", "wing_angle"),
    "what-if": ("what-if", "DEMO"),
}
SLOW = ("chart", "lap", "report")
"""Those that take seconds, tried with what is thorough."""
OLD_NAMES = ("brief", "scatter", "sweep", "curve", "wing")


def test_every_command_is_here(axletrim):
    told = axletrim("--help").stdout.partition("Commands:\n")[2].partition("\n\n")[0].splitlines()
    listed = {line.split()[0] for line in told if line[2] != " "}
    assert listed == set(COMMANDS)
    assert not listed & set(OLD_NAMES)  # they work, and are not listed


@pytest.mark.parametrize(
    "command",
    [pytest.param(one, marks=pytest.mark.thorough) if one in SLOW else one for one in COMMANDS],
)
def test_a_process_says_the_same(axletrim, demo, tmp_path, unit_cache, command):
    (tmp_path / "there").mkdir()
    there = type(axletrim)(tmp_path / "there", unit_cache)
    arguments = [demo if one == "DEMO" else one for one in COMMANDS[command]]
    here, process = axletrim(*arguments), there.process(*arguments)
    assert (process.returncode, process.stdout, process.stderr) == (here.returncode, here.stdout, here.stderr)
