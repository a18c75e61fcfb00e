"""A run whose setting was not moved itself says on which car it was, and which part makes it this one."""

import pytest

from balance.decide.car.prepared_day import prepare_day
from balance.decide.day.day import reduce_day
from balance.decide.settings.families import family_of
from balance.model.errors import InputError
from balance.model.records import Setting


def deg(value):
    return Setting(value=value, unit="deg", resolution=0.0)


def test_the_refusal_names_the_start_and_the_part_that_were_run(make_session):
    wings = [{"wing": deg(value)} for value in (2.0, 8.0, 5.0)]
    steps = [*wings, {"wing": deg(8.0), "lip": deg(3.0)}, {"lip": deg(9.0), "fin": deg(1.0)}]
    forces = [(100.0, 300.0 + 10.0 * k, 900.0) for k in range(5)]
    session = make_session(forces, configurations=["car"] * 5, runs=[{"settings": one} for one in steps])
    prepared = prepare_day(reduce_day(session, draws=100))
    assert family_of(prepared, "2", "wing").labels
    with pytest.raises(InputError, match="--from 2 --setting wing --part 4, or in a what-if from=2 on=4"):
        family_of(prepared, "4", "wing")
    with pytest.raises(InputError, match="found in no family of two values"):
        family_of(prepared, "5", "wing")
