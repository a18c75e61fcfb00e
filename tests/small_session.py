"""A small valid session, invented, that tests bend in one place at a time."""

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
HEAD = "run,configuration,front_lift [N],rear_lift [N],drag [N]\n"
RUNS = f"{HEAD}1,base,84,260,1150\n2,splitter,-140,275,1162\n"


class Desk:
    """A folder with a session in it, of which any file can be replaced by another text or other bytes."""

    def __init__(self, folder):
        self.car = folder / "car"
        self.session = self.car / "day"
        self.session.mkdir(parents=True)
        self.write()

    def write(self, *, vehicle=VEHICLE, session=SESSION, runs=RUNS):
        """Write all three files, those not given as they were at first; give the session's folder."""
        return self.replace(vehicle=vehicle, session=session, runs=runs)

    def replace(self, **texts):
        """Write the files given, and leave the others alone; give the session's folder."""
        names = {"vehicle": "vehicle.toml", "session": "day/session.toml", "runs": "day/runs.csv"}
        for file, content in texts.items():
            raw = content if isinstance(content, bytes) else content.encode()
            (self.car / names[file]).write_bytes(raw)
        return self.session
