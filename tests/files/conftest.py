"""A small valid session that tests bend in one place at a time."""

import pytest

from balance.files.tables.importing.plan import ImportOptions
from balance.files.tables.importing.planning import plan_import
from tests.small_session import RUNS, SESSION, VEHICLE, Desk
from tests.two_ways import same_either_way


class BentDesk(Desk):
    """A desk that tells what is wrong with what lies on it."""

    def faults(self, **texts):
        """Every line of the error that loading these texts raises."""
        from balance.files.loader import load_session
        from balance.model.errors import FileFaults

        with pytest.raises(FileFaults) as caught:
            load_session(self.write(**texts))
        return str(caught.value).splitlines()

    def load(self, **texts):
        from balance.files.loader import load_session

        return load_session(self.write(**texts))


@pytest.fixture
def desk(tmp_path):
    return BentDesk(tmp_path)


@pytest.fixture
def vehicle_text():
    return VEHICLE


@pytest.fixture
def session_text():
    return SESSION


@pytest.fixture
def runs_text():
    return RUNS


@pytest.fixture
def folder(desk):
    """The small session, to be opened for work."""
    return desk.session


@pytest.fixture
def own_data(monkeypatch, tmp_path):
    """The user's own data folder, where journals go that find no other place."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "own"))


@pytest.fixture
def planned(tmp_path, vehicle_text, request):
    """Plan the import of a text or of bytes, with the answers of the test's module; watched, it makes the same day."""
    (tmp_path / "vehicle.toml").write_text(vehicle_text, encoding="utf-8")

    def plan(content, **answers):
        source = tmp_path / "their runs.csv"
        source.write_bytes(content if isinstance(content, bytes) else content.encode())
        options = ImportOptions(**{**request.module.DAY, **answers})
        found = plan_import(source, vehicle=tmp_path / "vehicle.toml", options=options)
        same_either_way(found)
        return found

    return plan
