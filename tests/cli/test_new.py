"""`axletrim new` as a process: files from options, questions on a terminal alone, nothing overwritten."""

import os
import pty
import select
import subprocess
import sys

CAR = (
    "--name",
    "Larkspur coupe (invented)",
    "--mass",
    "1290 kg",
    "--front-share",
    "54.2 %",
    "--wheelbase",
    "2575 mm",
)
DAY = ("--title", "Spring day", "--speed", "100 mph", "--air-density", "1.225 kg/m^3")


def test_a_car_and_a_day_from_options(axletrim, tmp_path):
    made = axletrim("new", "car", "my car", *CAR, "--driven", "rear")
    assert (made.returncode, made.stdout, made.stderr) == (0, "my car/vehicle.toml\n", "")
    made = axletrim("new", "day", "my car/day", *DAY, "--units", "us", "--set", "wing_angle [deg]", "--recorded", "ride [mm]", "--place", "fast left", "115 mph")  # fmt: skip
    assert (made.returncode, made.stdout) == (0, "my car/day\n")
    assert made.stderr.splitlines() == [
        "axletrim: runs.csv takes lift in lbf, positive up; --sign downforce, --units or --columns says otherwise",
        'axletrim: forces = "as read" is taken: the facility has not corrected them; --forces says otherwise',
    ]
    runs = tmp_path / "my car" / "day" / "runs.csv"
    assert runs.read_text().startswith("run,time,configuration,wing_angle [deg],ride [mm],speed [mph],")
    runs.write_text(runs.read_text() + "1,,base,,101,100,,,,20,60,260,,,,,\n")
    table = axletrim("table", "my car/day", "--json")
    assert (table.returncode, '"run": "1"' in table.stdout or '"run":"1"' in table.stdout) == (0, True)


def test_columns_and_corners_of_ones_own(axletrim, tmp_path):
    corners = [part for mass in ("352 kg", "347 kg", "298 kg", "293 kg") for part in ("--corner", mass)]
    assert axletrim("new", "car", "c", *CAR[:2], *CAR[6:], *corners).returncode == 0
    columns = "run,configuration,front_downforce [N],rear_downforce [N],drag [N],wing [deg]"
    made = axletrim("new", "day", "elsewhere/day", *DAY, "--vehicle", "c", "--columns", columns)
    assert (made.returncode, made.stderr) == (0, "")
    assert (tmp_path / "elsewhere" / "day" / "runs.csv").read_text() == columns + "\n"
    assert 'vehicle = "../../c/vehicle.toml"' in (tmp_path / "elsewhere" / "day" / "session.toml").read_text()


def test_faults_are_called_by_their_options_and_nothing_is_overwritten(axletrim, spoken, tmp_path):
    faults = axletrim("new", "car", "c", *CAR[:2], "--mass", "1290", "--wheelbase", "2575 kg")
    assert faults.stderr.splitlines() == [
        "axletrim: --mass: found '1290' without a unit, expected a mass with its unit; write '1290 kg' or '1290 lb', whichever it is",
        "axletrim: --wheelbase: found the unit 'kg', which measures a mass, expected a length unit such as mm, m, in; check the figure and its unit",
    ]
    spoken(faults)
    missing = axletrim("new", "car", "c")
    assert "--name: found nothing" in missing.stderr
    assert "--wheelbase: found nothing" in missing.stderr
    spoken(axletrim("new", "car", "c", *CAR, "--corner", "300 kg"))
    assert not (tmp_path / "c").exists()
    assert axletrim("new", "car", "c", *CAR).returncode == 0
    again = axletrim("new", "car", "c", *CAR)
    assert "nothing was overwritten" in again.stderr
    spoken(again)
    spoken(axletrim("new", "day", "c/day", *DAY, "--columns", "run", "--sign", "lift"))
    spoken(axletrim("new", "day", "d/day", *DAY))


def test_on_a_terminal_what_is_missing_is_asked_for_and_checked_at_once(axletrim, tmp_path):
    answers = ["", "Mine", "2575", "2575 mm", "1290 kg", "53 kg", "53", "fore", "front"]
    ours, theirs = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-m", "tui", "new", "car", "c"],
        stdin=theirs, stdout=theirs, stderr=theirs, cwd=tmp_path, env={**axletrim.environment, "COLUMNS": "80"},
    )  # fmt: skip
    os.close(theirs)
    seen = b""
    for answer in answers:
        while not seen.endswith(b": "):
            assert select.select([ours], [], [], 60)[0]
            seen += os.read(ours, 4096)
        os.write(ours, answer.encode() + b"\n")
        seen += b"\n"
    assert process.wait(60) == 0
    os.close(ours)
    assert b"found '2575' without a unit" in seen
    text = (tmp_path / "c" / "vehicle.toml").read_text()
    assert all(word in text for word in ('name = "Mine"', '"2575 mm"', '"1290 kg"', '"53 %"', '"front"'))
    lines = seen.decode().replace("\r", "").splitlines()
    assert max(map(len, lines)) <= 80  # so that the terminal breaks no word of its own


def test_the_name_that_the_command_had_before_keeps_working_and_is_not_listed(axletrim, desk):
    desk.write()
    assert axletrim("new", "session", desk.session.parent / "summer", *DAY).returncode == 0
    assert "session " not in axletrim("new", "--help").stdout


def test_what_is_stopped_while_it_is_still_being_loaded_says_so(axletrim, tmp_path):
    """The stop is sent by a file that stands for the first of ours that is loaded."""
    stopping = tmp_path / "stopping.py"
    stopping.write_text(
        "import os, signal, sys\n"
        "signal.signal(signal.SIGINT, signal.default_int_handler)  # a job in the background hears none\n"
        "class Stop:\n"
        "    def find_spec(self, name, path=None, target=None):\n"
        "        if name == 'tui.command_line.cli':\n"
        "            os.kill(os.getpid(), signal.SIGINT)\n"
        "sys.meta_path.insert(0, Stop())\n"
        "import runpy\n"
        "sys.argv = ['axletrim', '--version']\n"
        "runpy.run_module('tui', run_name='__main__')\n"
    )
    done = subprocess.run(
        [sys.executable, stopping], capture_output=True, text=True, env=axletrim.environment, cwd=tmp_path, check=False,
    )  # fmt: skip
    assert (done.returncode, done.stdout, done.stderr) == (130, "", "axletrim: stopped\n")
