"""Odd terminals, odd homes, odd labels, small days and long ones."""

import json
import re

import pytest

HEADER = "run,configuration,front_lift [N],rear_lift [N],drag [N]\n"


@pytest.mark.parametrize("environment", [{"LANG": "C", "LC_ALL": "C"}, {"PYTHONIOENCODING": "ascii"}])
def test_a_terminal_that_claims_ascii(axletrim, demo, environment):
    result = axletrim("table", demo, **environment)
    assert result.returncode == 0
    assert "?" not in result.stdout.replace("OVERSTEER?", "").replace("understeer?", "")
    assert "  1   as delivered " in result.stdout
    assert "−79 −242" in result.stdout


@pytest.mark.parametrize("encoding", ["latin-1", "cp1252"])
def test_no_sign_is_lost_where_the_true_minus_is_missing(axletrim, demo, encoding):
    result = axletrim("table", demo, PYTHONIOENCODING=encoding, encoding=encoding)
    assert result.returncode == 0
    assert "-79 -242" in result.stdout
    assert "v OVERSTEER" in result.stdout
    assert "= OVERSTEER?" in result.stdout
    assert "?" not in result.stdout.replace("OVERSTEER?", "").replace("understeer?", "")
    beyond = "†" if encoding == "cp1252" else "#"  # that one has the dagger
    assert f" 199{beyond} o understeer?" in result.stdout
    assert f"- {beyond} beyond 195 km/h, as far as the tests reach" in result.stdout


@pytest.mark.parametrize(
    "command", ["table", "parts", "speeds", "trim", "compare", "repeatability", "response"]
)
def test_every_character_has_a_plainer_one(axletrim, demo, command):
    """What is printed of the invented day needs no escape where an encoding has neither marks nor Greek."""
    others = {
        "speeds": ("15",),
        "trim": ("--from", "16", "--setting", "wing_angle"),
        "response": ("--setting", "wing_angle"),
    }.get(command, ())
    wide = () if command in ("repeatability", "response") else ("--full", "--width", "200")
    result = axletrim(command, demo, *others, *wide, PYTHONIOENCODING="latin-1", encoding="latin-1")
    assert result.returncode == 0, result.stderr
    assert "\\u" not in result.stdout + result.stderr


def test_json_through_a_narrow_encoding(axletrim, demo):
    plain = axletrim("table", demo, "--json")
    assert axletrim("table", demo, "--json", PYTHONIOENCODING="latin-1").stdout == plain.stdout


def test_a_home_and_a_cache_that_cannot_be_written(axletrim, demo):
    away = {"HOME": "/proc/none", "XDG_CACHE_HOME": "/dev/null/none", "XDG_DATA_HOME": "/proc/none"}
    result = axletrim("table", demo, **away)
    assert result.returncode == 0
    assert result.stdout == axletrim("table", demo).stdout
    assert axletrim("check", demo, **away).returncode == 0


def test_labels_of_every_kind(axletrim, desk):
    labels = ["first run", "🏁 two", "[/]", "-3", "=1+1", "12A", "012"]
    rows = "".join(f"{label},base [b],{84 + k},260,1150\n" for k, label in enumerate(labels))
    desk.write(runs=HEADER + rows)
    table = axletrim("table", desk.session, "--width", "160")
    assert table.returncode == 0
    assert "base [b]" in table.stdout
    record = json.loads(axletrim("table", desk.session, "--json").stdout)
    assert [run["run"] for run in record["runs"]] == labels
    for label in labels:
        result = axletrim("sweep", desk.session, "--json", "--quantity", "drag", "--", label)
        assert result.returncode == 0, result.stderr
        assert json.loads(result.stdout)["run"] == label
        assert json.loads(result.stdout)["runs"] == labels
    for label in ("🏁 two", "[/]"):
        said = axletrim("sweep", desk.session, label, "--chart", "--reading").stdout
        assert f"base [b] (run {label})" in said


def test_one_run_without_repeats_or_a_stated_figure(axletrim, desk):
    desk.write(runs=HEADER + "1,as run,-150,-660,1150\n")
    result = axletrim("table", desk.session)
    assert result.returncode == 0
    assert "noise unknown, cannot tell how sure" in " ".join(result.stdout.split())
    run = json.loads(axletrim("table", desk.session, "--json").stdout)["runs"][0]
    assert run["verdict"] == run["nominal_verdict"] == "rear overpowers front"
    assert run["verdict_probability"] is None
    for arguments in (
        ("sweep", desk.session, "1"),
        ("sweep", desk.session, "1", "--chart"),
        ("check", desk.session),
    ):
        assert axletrim(*arguments).returncode == 0


def test_a_long_day(axletrim, desk):
    rows = "".join(
        f"{k},base {k % 40},{-84 + 3 * (k % 40)},{-260 + k % 7},{1150 + k % 5}\n" for k in range(1, 201)
    )
    desk.write(runs=HEADER + rows)
    result = axletrim("table", desk.session, "--readings")
    assert result.returncode == 0
    assert result.stdout.count("\n  ") > 200
    means = axletrim("table", desk.session, "--width", "160").stdout.splitlines()
    assert len([line for line in means if re.match(r"  \d+ +base \d+ +5 │", line)]) == 40
    record = json.loads(axletrim("table", desk.session, "--json", "--draws", "1000").stdout)
    assert len(record["runs"]) == 200


def test_a_path_with_spaces_and_a_session_file(axletrim, desk):
    odd = desk.car.rename(desk.car.parent / "my car [x] 🏁") / "day"
    for path in (odd, odd / "session.toml", f"{odd}/"):
        assert axletrim("check", path).returncode == 0


def test_tab_completion(axletrim):
    script = axletrim(_AXLETRIM_COMPLETE="bash_source")
    assert script.returncode == 0
    assert "_AXLETRIM_COMPLETE=bash_complete" in script.stdout

    def completed(words):
        place = str(len(words.split(" ")) - 1)
        return axletrim(_AXLETRIM_COMPLETE="bash_complete", COMP_WORDS=words, COMP_CWORD=place).stdout.split()

    assert completed("axletrim ta") == ["plain,table"]
    assert completed("axletrim table --sp") == ["plain,--speed"]
    assert completed("axletrim table day --units ") == ["plain,si", "plain,us", "plain,kgf"]
    assert completed("axletrim table spr") == ["file,spr"]
    for shell in ("zsh", "fish"):
        assert axletrim(_AXLETRIM_COMPLETE=f"{shell}_source").returncode == 0
