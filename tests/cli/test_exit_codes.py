"""Exit codes, which stream carries what, and the help."""

import signal
import subprocess
from pathlib import Path
from time import sleep

import pytest

COMMANDS = ("open", "demo", "table", "speeds", "check", "explain")
LISTED = [
    "demo",
    "new",
    "import",
    "open",
    "check",
    "table",
    "parts",
    "repeatability",
    "trim",
    "what-if",
    "compare",
    "report",
    "plan",
    "track",
    "lap",
    "join",
    "library",
    "response",
    "speeds",
    "chart",
    "export",
    "explain",
    "cautions",
]
OLD_NAMES = {
    "brief": "report",
    "scatter": "repeatability",
    "sweep": "speeds",
    "curve": "response",
    "wing": "trim",
}


def test_help_lists_every_command_whole(axletrim):
    result = axletrim("--help")
    assert result.returncode == 0
    assert result.stderr == ""
    told = result.stdout.partition("Commands:\n")[2].partition("\n\n")[0].splitlines()
    assert [line.split()[0] for line in told] == LISTED
    assert all(line.endswith(".") and not line.endswith("...") for line in told)


@pytest.mark.parametrize(
    ("command", "line"),
    [
        ("response", "Show loads and drag against a setting."),
        ("speeds", "Show one configuration against speed."),
        ("trim", "Find the setting that meets a target."),
        ("repeatability", "Show repeatability, drift and the smallest detectable change."),
        ("check", "List faults and doubtful figures."),
        ("report", "Write the customer's report."),
    ],
)
def test_help_lines(axletrim, command, line):
    said = axletrim("--help").stdout
    assert f"\n  {command.ljust(max(map(len, LISTED)))}  {line}\n" in said


@pytest.mark.thorough
@pytest.mark.parametrize(("old", "new"), OLD_NAMES.items())
def test_an_old_name_keeps_working_and_is_not_listed(axletrim, demo, tmp_path, old, new):
    others = {
        "report": ("-o", tmp_path / "page.html"),
        "speeds": ("15", "--chart"),
        "response": ("--setting", "wing_angle"),
        "trim": ("--from", "16", "--setting", "wing_angle"),
    }.get(new, ())
    said = [axletrim(name, demo, *others) for name in (old, new)]
    assert [one.returncode for one in said] == [0, 0]
    assert said[0].stdout == said[1].stdout
    assert said[0].stdout
    assert f"\n  {old} " not in axletrim("--help").stdout
    assert f"Usage: axletrim {old} " in axletrim(old, "--help").stdout


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_help_with_an_example(axletrim, command):
    result = axletrim(command, "--help")
    assert result.returncode == 0
    assert result.stderr == ""
    assert f"Example:\n    axletrim {command}" in result.stdout


def test_version_is_one_line(axletrim):
    result = axletrim("--version")
    assert result.returncode == 0
    assert result.stdout.startswith("axletrim")
    assert result.stdout.count("\n") == 1
    assert result.stderr == ""


def test_without_a_terminal_and_without_arguments_the_help_is_printed(axletrim):
    result = axletrim()
    assert result.returncode == 0
    assert "Usage: axletrim" in result.stdout
    assert result.stderr == ""


def test_the_screen_is_not_opened_without_a_terminal(axletrim, demo, spoken):
    for arguments in (("open", demo), ("demo",)):
        result = axletrim(*arguments)
        assert "the screen needs a terminal" in spoken(result)
        assert result.stdout == ""


def test_a_mistyped_command_is_answered_with_the_near_one(axletrim, spoken):
    result = axletrim("tabel", "day")
    assert "Did you mean 'table'?" in spoken(result)
    assert result.stdout == ""


@pytest.mark.parametrize("arguments", [("table",), ("speeds", "day"), ("table", "day", "--sped", "3")])
def test_missing_and_unknown_arguments(axletrim, spoken, arguments):
    result = axletrim(*arguments)
    assert "Usage: axletrim" in spoken(result)
    assert result.stdout == ""


@pytest.mark.parametrize(
    "arguments", [("table",), ("table", "--chart"), ("speeds", "15"), ("speeds", "15", "--chart"), ("check",)]
)
def test_no_colour_where_there_is_no_terminal(axletrim, demo, arguments):
    command, *others = arguments
    result = axletrim(command, demo, *[a for a in others if (command, a) != ("table", "--chart")])
    assert result.returncode == 0
    assert "\x1b" not in result.stdout + result.stderr


def test_results_and_messages_go_apart(axletrim, demo):
    result = axletrim("table", demo, "--width", "80")
    assert result.returncode == 0
    assert "axletrim:" not in result.stdout
    assert result.stderr.startswith("axletrim: left out for width: ")
    assert result.stderr.count("\n") == 1
    for option in ("--json", "--csv"):
        assert axletrim("table", demo, option).stderr == ""


@pytest.mark.parametrize("pair", [("table", ("--json", "--csv")), ("speeds", ("1", "--json", "--chart"))])
def test_options_that_exclude_one_another(axletrim, demo, spoken, pair):
    command, others = pair
    assert "exclude one another" in spoken(axletrim(command, demo, *others))


def test_a_reader_that_has_seen_enough_is_no_failure(axletrim, desk):
    rows = "".join(f"{k},base,{84 + k % 7},260,1150\n" for k in range(1, 61))
    desk.write(runs="run,configuration,front_lift [N],rear_lift [N],drag [N]\n" + rows)
    process = axletrim.start("table", desk.session, "--json")  # more than a pipe holds
    assert process.stdout.readline() == b"{\n"
    process.stdout.close()
    error = process.stderr.read().decode()
    process.stderr.close()
    assert process.wait(timeout=120) == 0
    assert error == ""


def test_a_reader_that_never_reads(axletrim, demo):
    process = axletrim.start("table", demo)
    process.stdout.close()
    error = process.stderr.read().decode()
    process.stderr.close()
    assert process.wait(timeout=120) == 0
    assert "Traceback" not in error


def test_a_full_disk_is_a_plain_message(axletrim, demo, spoken):
    with open("/dev/full", "wb") as full:  # noqa: PTH123 - a device
        result = axletrim("table", demo, stdout=full)
    assert "axletrim: cannot go on: No space left on device" in spoken(result)


@pytest.mark.parametrize(
    ("command", "code"), [("table DEMO", 0), ("speeds DEMO 15 --chart", 0), ("", 0), ("open DEMO", 2)]
)
@pytest.mark.parametrize("closed", [">&-", "<&- >&- 2>&-"])
def test_streams_that_are_closed(axletrim, demo, command, code, closed):
    words = command.replace("DEMO", f'"{demo}"')
    result = subprocess.run(
        ["/bin/sh", "-c", f'exec "{axletrim.python}" -m tui {words} {closed}'],
        env=axletrim.environment,
        cwd=axletrim.folder,
        capture_output=True,
        check=False,
        text=True,
        timeout=120,
    )
    assert result.returncode == code
    assert "Traceback" not in result.stderr


def test_stopped_by_the_user(axletrim, demo):
    before = signal.signal(signal.SIGINT, signal.default_int_handler)  # tests in the background may ignore it
    process = axletrim.start("table", demo, "--draws", "1000000")
    signal.signal(signal.SIGINT, before)
    loaded = Path(f"/proc/{process.pid}/maps")
    while loaded.exists() and "numpy" not in loaded.read_text(encoding="utf-8"):
        sleep(0.02)  # what is stopped earlier is Python's own start
    sleep(1.0)
    process.send_signal(signal.SIGINT)
    out, err = process.communicate(timeout=120)
    assert process.returncode == 130, err.decode()
    assert out == b""
    assert err.decode().strip().endswith("axletrim: stopped")
    assert b"Traceback" not in err


def test_a_folder_in_place_of_a_command_is_told_how_to_be_opened(axletrim, tmp_path):
    result = axletrim(str(tmp_path))
    assert result.returncode == 2
    assert f"open a day by: axletrim open {tmp_path}" in result.stderr
    assert "open a day by" not in axletrim("no_such_thing").stderr
