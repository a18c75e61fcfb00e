"""Small days of invented cars with a spoiler, and libraries of them."""

import pytest

from balance.decide.library.kept import effects_of_day
from balance.files.library.confirming import join_library
from balance.files.library.joining import add_day, as_known, begin_library, read_to_add
from balance.files.library.library import Library
from balance.files.library.parts_file import read_parts_file
from tests.small_session import SESSION, VEHICLE

HEAD = "run,configuration,front_lift [N],rear_lift [N],drag [N],rear_spoiler [mm]\n"
STATED = '[repeatability]\nfront = "7 N"\nrear = "7 N"\ndrag = "4 N"\ndegrees_of_freedom = 20\n'


class Days:
    """A folder of cars and days, and a library beside them."""

    def __init__(self, place):
        self.place, self.library = place, place / "library"

    def day(
        self,
        car="one",
        day="spring",
        *,
        gain=60.0,
        name=None,
        runs=None,
        floor="fixed",
        facility="",
        repeatability=STATED,
        **facts,
    ):
        """Write a day on which a spoiler of 25 mm took away so much rear lift, and facts of its car; give its folder."""
        folder = self.place / car / day
        folder.mkdir(parents=True, exist_ok=True)
        named = VEHICLE.replace("Larkspur coupe (invented)", name or f"{car * 3} (invented)")
        stated = "".join(f'{key} = "{text}"\n' for key, text in facts.items())
        body = f"[body]\n{stated}" if facts else ""
        (self.place / car / "vehicle.toml").write_text(named + body, encoding="utf-8")
        title = f'title = "{day} of {car}"'
        text = SESSION.replace('title = "Spring tunnel day (invented)"', title) + repeatability
        text = text.replace("[facility]\n", f'[facility]\nfloor = "{floor}"\n')
        if facility:
            text = text.replace("[facility]\n", f'[facility]\nname = "{facility}"\n')
        (folder / "session.toml").write_text(text, encoding="utf-8")
        rows = runs or f"{HEAD}1,base,84,260,1150,\n2,spoiler,90,{260 - gain},1158,25\n"
        (folder / "runs.csv").write_text(rows, encoding="utf-8")
        return folder

    def add(self, folder, **answers):
        """Add a day, as the command does; give what is open."""
        begin_library(self.library)
        with self.open() as library:
            day, state = as_known(library, read_to_add(folder, effects_of_day))
            given = {key.removeprefix("n"): answer for key, answer in answers.items()}
            file = read_parts_file(self.library)
            joining = join_library(library, file, day, given)
            if not joining.questions:
                add_day(library, day, joining.confirmed, file)
            return joining, state

    def open(self, study=effects_of_day):
        return Library(self.library, study)

    def five(self):
        """Add a day of each of five cars with the same spoiler."""
        gains = {"ash": 60.0, "birch": 75.0, "cedar": 40.0, "oak": 66.0, "yew": 52.0}
        for car, gain in gains.items():
            self.add(self.day(car, gain=gain), n1="same" if car != "ash" else "new")
        return gains


@pytest.fixture
def days(tmp_path):
    return Days(tmp_path)
