"""Kilograms-force: typed wherever a force is, the unit of a day, and shown."""

import pytest

# 1 kgf = 1 kp = 9.80665 N, 1 daN = 10 N: CGPM 1901 and SI prefixes


@pytest.mark.parametrize(("unit", "newtons"), [("kgf", 9.80665), ("kp", 9.80665), ("daN", 10.0)])
def test_a_force_may_be_typed_in_any_of_them(axletrim, desk, unit, newtons):
    desk.write(
        runs=f"run,configuration,front_lift [{unit}],rear_lift [{unit}],drag [{unit}]\n1,base,8.5,26,117\n2,wing,12,-40,125\n",
        session=(desk.session / "session.toml").read_text()
        + f'[repeatability]\nfront = "0.7 {unit}"\nrear = "0.7 {unit}"\ndrag = "0.4 {unit}"\n',
    )
    said = axletrim("table", desk.session, "--json")
    assert said.returncode == 0, said.stderr
    assert f'"drag_N": {117 * newtons:.6g}'[:12] in said.stdout
    trim = axletrim("what-if", desk.session, "--set", "from=1", "--set", f"front=12 {unit} at 160 km/h")
    assert trim.returncode == 0, trim.stderr


def test_a_day_is_begun_and_shown_in_them(axletrim, desk):
    made = axletrim(
        "new", "session", "car/winter", "--title", "Winter (invented)", "--speed", "160 km/h", "--air-density", "1.2 kg/m^3",
        "--units", "kgf", "--sign", "lift",
    )  # fmt: skip
    assert made.returncode == 0, made.stderr
    folder = desk.car / "winter"
    assert "front_lift [kgf]" in (folder / "runs.csv").read_text(encoding="utf-8")


def test_the_session_says_what_is_shown_and_the_option_stands_above_it(axletrim, desk):
    desk.write(session=(desk.session / "session.toml").read_text() + '[shown]\nforce = "kgf"\n')
    head = axletrim("table", desk.session).stdout
    assert "kgf" in head
    assert "kgf" not in axletrim("table", desk.session, "--units", "si").stdout
    assert "118.5" in axletrim("table", desk.session, "--width", "200").stdout  # 1162 N are 118.5 kgf
    desk.write(session=(desk.session / "session.toml").read_text().replace("kgf", "stone"))
    refused = axletrim("table", desk.session)
    assert refused.returncode == 2
    assert "expected 'N' or 'lbf' or 'kgf'" in refused.stderr
