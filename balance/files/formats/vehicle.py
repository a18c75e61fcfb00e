"""vehicle.toml: a car as it runs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from balance.files.formats.adjusters import (
    ADJUSTERS,
    LOADINGS,
    MOUNTINGS,
    PRICES,
    adjusters_from,
    prices_from,
)
from balance.files.formats.versions import FORMAT_FIELD, format_of
from balance.files.toml.document import Document, read_toml
from balance.files.toml.fields import Field, described, read_fields, read_number, read_quantity, read_words
from balance.model.errors import FileFaults, UnitError
from balance.model.records import Body, LoadExponent, Stated, Target, TyreRating, Vehicle

if TYPE_CHECKING:
    from pathlib import Path

# Typical values: common practice, no source. Pacejka, Tire and Vehicle Dynamics, has a table of
# cornering stiffness whose local exponent is 0.753 at 3.2 kN.
ASSUMED_STIFFNESS_EXPONENT = 0.75
ASSUMED_GRIP_EXPONENT = 0.86
_CORNERS = ("front_left", "front_right", "rear_left", "rear_right")
_MASS_SLACK = 0.5  # kg between corner weights and a stated total
_SHARE_SLACK = 0.001  # of the weight, likewise

# Ranges are those of credible cars, wide: common practice, no source.


def _read_exponent(one: Field, value: Any) -> Stated | dict[str, Stated]:
    if not isinstance(value, dict):
        return read_number(one, value)
    if set(value) != {"front", "rear"}:
        raise UnitError(
            f"a table of {', '.join(value) or 'nothing'}"[:80],
            "a number, or a table of front and rear",
            f"write {one.key} = {{ front = {one.example}, rear = {one.example} }}",
        )
    return {axle: read_number(one, value[axle]) for axle in ("front", "rear")}


def _read_speed_symbol(one: Field, value: Any) -> str:
    return read_words(one, value.upper() if isinstance(value, str) else value)


def _read_load_index(one: Field, value: Any) -> int:
    number = read_number(one, value).value
    if number != int(number):
        raise UnitError(described(value), "a whole number from 60 to 110")
    return int(number)


_AT = (
    Field("speed", "speed", "60 km/h", low="5 km/h", high="600 km/h"),
    Field("power", "power", "120 kW", low="1 kW", high="3000 kW"),
)


def _read_power_curve(one: Field, value: Any) -> tuple[tuple[float, float], ...]:
    """Read pairs of a speed and the power there, rising in speed."""
    pairs = value if isinstance(value, list) else []
    if len(pairs) < 2 or not all(isinstance(pair, list) and len(pair) == 2 for pair in pairs):
        raise UnitError(
            described(value),
            "a list of at least two pairs of speed and power",
            f"write {one.key} = {one.example}",
        )
    speeds, powers = ([read_quantity(field, pair[k]).value for pair in pairs] for k, field in enumerate(_AT))
    for k in range(1, len(speeds)):
        if speeds[k] <= speeds[k - 1]:
            raise UnitError(
                f"{described(pairs[k][0])} behind {described(pairs[k - 1][0])}",
                "speeds that rise from pair to pair",
                "put the pairs in order, each speed once",
            )
    return tuple(zip(speeds, powers, strict=True))


_TYRE = (
    Field("load_index", "number", "91", required=True, low="60", high="110", read=_read_load_index),
    Field(
        "speed_symbol",
        "choice",
        "W",
        required=True,
        choices=("T", "U", "H", "V", "W", "Y"),
        read=_read_speed_symbol,
    ),
)
_SHARE = Field("front_share", "fraction", "54.2 %", low="10 %", high="90 %", measurable=True)
_MASS = (
    Field("total", "mass", "1290 kg", low="100 kg", high="10000 kg", measurable=True),
    _SHARE,
    Field(
        "corners",
        "table",
        'corners = { front_left = "352 kg", front_right = "347 kg", rear_left = "298 kg", rear_right = "293 kg" }',
        fields=tuple(
            Field(key, "mass", "352 kg", required=True, low="20 kg", high="3000 kg", measurable=True)
            for key in _CORNERS
        ),
    ),
    Field("cg_height", "length", "480 mm", low="100 mm", high="2000 mm"),
)
_FRONT_TRACK = Field("front_track", "length", "1520 mm", low="800 mm", high="3000 mm")
_RIDE_HEIGHT = Field("front_ride_height", "length", "95 mm", low="10 mm", high="600 mm")
_STIFFNESS = Field(
    "stiffness_load_exponent", "number", "0.75", low="0.3", high="1.2", read=_read_exponent, measurable=True
)
VEHICLE = (
    FORMAT_FIELD,
    Field("name", "text", "Larkspur coupe", required=True),
    Field("note", "text", "free text"),
    Field("mass", "table", "a table [mass]", required=True, fields=_MASS),
    Field(
        "size",
        "table",
        "a table [size]",
        required=True,
        fields=(
            Field("wheelbase", "length", "2575 mm", required=True, low="1000 mm", high="6000 mm"),
            _FRONT_TRACK,
            _FRONT_TRACK._replace(key="rear_track"),
            Field("frontal_area", "area", "1.98 m^2", low="0.3 m^2", high="10 m^2"),
        ),
    ),
    Field(
        "drive",
        "table",
        "a table [drive]",
        fields=(
            Field("power", "power", "230 kW", low="5 kW", high="3000 kW", measurable=True),
            Field("driven", "choice", "rear", choices=("front", "rear", "both")),
            Field("top_speed", "speed", "245 km/h", low="30 km/h", high="600 km/h"),
            Field(
                "power_curve",
                "pairs",
                '[["60 km/h", "120 kW"], ["150 km/h", "165 kW"]]',
                read=_read_power_curve,
            ),
            Field("losses", "fraction", "12 %", low="0 %", high="60 %"),
            Field("rolling_resistance", "fraction", "1.5 %", low="0 %", high="20 %"),
        ),
    ),
    Field(
        "tyres",
        "table",
        "a table [tyres]",
        fields=(
            _STIFFNESS,
            _STIFFNESS._replace(key="grip_load_exponent", example="0.86"),
            Field("friction", "number", "1.15", low="0.3", high="4", measurable=True),
            Field("static_margin", "fraction", "0 %", low="-50 %", high="50 %", measurable=True),
            Field("front", "table", 'front = { load_index = 91, speed_symbol = "W" }', fields=_TYRE),
            Field("rear", "table", 'rear = { load_index = 91, speed_symbol = "W" }', fields=_TYRE),
        ),
    ),
    Field(
        "brakes",
        "table",
        "a table [brakes]",
        fields=(Field("front_share", "fraction", "65 %", low="20 %", high="95 %"),),
    ),
    Field(
        "target",
        "table",
        "a table [target]",
        fields=(
            Field("grip_surplus", "fraction", "0 %", low="-50 %", high="50 %", chosen=True),
            Field("tolerance", "fraction", "3 %", low="0.01 %", high="50 %", chosen=True),
            Field("front_tolerance", "fraction", "1.5 %", low="0.01 %", high="50 %", chosen=True),
        ),
    ),
    Field(
        "body",
        "table",
        "a table [body]",
        fields=(
            Field("kind", "text", "hatchback"),
            Field("rear_glass_angle", "angle", "28 deg", low="0 deg", high="90 deg"),
            _RIDE_HEIGHT,
            _RIDE_HEIGHT._replace(key="rear_ride_height", example="110 mm"),
        ),
    ),
    ADJUSTERS,
    LOADINGS,
    MOUNTINGS,
    PRICES,
)


def read_vehicle(path: Path, *, shown_as: str | None = None) -> Vehicle:
    """Read a car from its vehicle.toml."""
    document = read_toml(path, shown_as=shown_as or str(path), what="a car's vehicle.toml")
    format_of(document)
    values = read_fields(document, VEHICLE)
    mass, share = _weights(document, values["mass"] or {})
    target = _target(document, values["target"] or {})
    adjusters = adjusters_from(document, values["adjusters"])
    prices = prices_from(document, values["prices"])
    tyres = values["tyres"] or {}
    body = values["body"] or {}
    if share is not None and tyres.get("static_margin") is not None:
        neutral = 1 - share + tyres["static_margin"]
        if not 0 < neutral < 1:
            document.fault(
                ("tyres", "static_margin"),
                f"a neutral-steer point {100 * neutral:.1f} % of the wheelbase behind the front axle",
                "one between the axles",
                "check the margin, the front weight share, and the sign (positive understeer)",
            )
    if document.faults or mass is None or share is None:
        raise FileFaults(document.in_order)
    corners = values["mass"]["corners"]
    return Vehicle(
        name=values["name"],
        note=values["note"] or "",
        mass=mass,
        front_share=share,
        corners=tuple(corners[key] for key in _CORNERS) if corners else None,
        cg_height=values["mass"]["cg_height"],
        **values["size"],
        **(values["drive"] or {}),
        brake_front_share=(values["brakes"] or {}).get("front_share"),
        friction=tyres.get("friction"),
        stiffness_exponent=_exponent(tyres.get("stiffness_load_exponent"), ASSUMED_STIFFNESS_EXPONENT),
        grip_exponent=_exponent(tyres.get("grip_load_exponent"), ASSUMED_GRIP_EXPONENT),
        static_margin=tyres.get("static_margin"),
        front_tyre=TyreRating(**tyres["front"]) if tyres.get("front") else None,
        rear_tyre=TyreRating(**tyres["rear"]) if tyres.get("rear") else None,
        target=target,
        body=Body(**body | {"kind": body.get("kind") or ""}),
        adjusters=adjusters,
        loadings=values["loadings"] or (),
        mountings=values["mountings"] or (),
        prices=prices,
        source=str(path),
        uncertainties=document.uncertainties,
    )


def _weights(document: Document, mass: dict[str, Any]) -> tuple[float | None, float | None]:
    """Total mass and front share, from corner weights where stated."""
    total, share, corners = mass.get("total"), mass.get("front_share"), mass.get("corners")
    written = document.tree.get("mass")
    if not isinstance(written, dict):
        return None, None
    if "corners" not in written:
        for key, example in (("total", "1290 kg"), ("front_share", "54.2 %")):
            if key not in written:
                document.fault(
                    ("mass", key),
                    "nothing",
                    "total and front_share, or corners",
                    f'add {key} = "{example}"',
                )
        return total, share
    if corners is None or None in corners.values():
        return None, None
    summed = sum(corners.values())
    derived = (corners["front_left"] + corners["front_right"]) / summed
    if total is not None and abs(total - summed) > _MASS_SLACK:
        document.fault(
            ("mass", "total"),
            f"{total:.1f} kg",
            f"the {summed:.1f} kg of the corners",
            "leave out one of them",
        )
    if share is not None and abs(share - derived) > _SHARE_SLACK:
        document.fault(
            ("mass", "front_share"),
            f"{100 * share:.2f} %",
            f"the {100 * derived:.2f} % of the corners",
            "leave out one of them",
        )
    if not 0.1 <= derived <= 0.9:
        document.fault(
            ("mass", "corners"),
            f"{100 * derived:.1f} % on the front axle",
            "from 10 % to 90 %",
            "check the corners",
        )
    return summed, derived


def _target(document: Document, target: dict[str, Any]) -> Target:
    surplus = target.get("grip_surplus") or 0.0
    rear, front = target.get("tolerance"), target.get("front_tolerance")
    usual = Target()
    stated = Target(
        grip_surplus=surplus,
        rear_tolerance=usual.rear_tolerance if rear is None else rear,
        front_tolerance=usual.front_tolerance if front is None else front,
        tolerance_assumed=rear is None,
        front_tolerance_assumed=front is None,
    )
    if surplus < -stated.front_tolerance:
        document.fault(
            ("target", "grip_surplus"),
            f"{100 * surplus:g} %",
            f"not below {-100 * stated.front_tolerance:g} %",
            "that is past the oversteer limit: choose a target in balance or a little above",
        )
    return stated


def _exponent(stated: float | dict[str, float] | None, usual: float) -> LoadExponent:
    if stated is None:
        return LoadExponent(front=usual, rear=usual, assumed=True)
    axles = stated if isinstance(stated, dict) else {"front": stated, "rear": stated}
    return LoadExponent(**axles, assumed=False)
