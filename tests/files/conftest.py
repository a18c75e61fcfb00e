"""A small valid session that tests bend in one place at a time."""

import pytest

VEHICLE = """\
name = "Larkspur coupe (invented)"
[mass]
total = "1290 kg"
front_share = "54.2 %"
[size]
wheelbase = "2575 mm"
frontal_area = "1.98 m^2"
"""
SESSION = """\
title = "Spring tunnel day (invented)"
vehicle = "../vehicle.toml"
[facility]
speed = "160 km/h"
air_density = "1.225 kg/m^3"
forces = "as read"
"""
RUNS = """\
run,configuration,front_lift [N],rear_lift [N],drag [N]
1,base,84,260,1150
2,splitter,-140,275,1162
"""


class Desk:
    """A folder with a session in it, of which any file can be replaced."""

    def __init__(self, folder):
        self.car = folder / "car"
        self.session = self.car / "day"
        self.session.mkdir(parents=True)
        self.write()

    def write(self, *, vehicle=VEHICLE, session=SESSION, runs=RUNS):
        texts = {"vehicle.toml": vehicle, "day/session.toml": session, "day/runs.csv": runs}
        for name, content in texts.items():
            raw = content if isinstance(content, bytes) else content.encode()
            (self.car / name).write_bytes(raw)
        return self.session

    def faults(self, **texts):
        """Every line of the error that loading these texts raises."""
        from balance.errors import FileFaults
        from balance.files.loader import load_session

        with pytest.raises(FileFaults) as caught:
            load_session(self.write(**texts))
        return str(caught.value).splitlines()

    def load(self, **texts):
        from balance.files.loader import load_session

        return load_session(self.write(**texts))


@pytest.fixture
def desk(tmp_path):
    return Desk(tmp_path)


@pytest.fixture
def vehicle_text():
    return VEHICLE


@pytest.fixture
def session_text():
    return SESSION


@pytest.fixture
def runs_text():
    return RUNS
