"""A track as rows along its line: how sharply it turns, banks and climbs, from row to row."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.model.arrays import read_only
from balance.model.errors import DomainError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackPlace:
    """A named place of a track, and how far along its line it is [m]."""

    name: str
    distance: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Track:
    """A track as pieces along its line, within each of which everything changes evenly.

    ``edges`` is (pieces + 1,): where the pieces begin and end, from 0 [m]. The others are (pieces, 2), at the
    beginning and at the end of each piece: ``curvature`` is left positive after ISO 8855 [1/m], ``bank`` is
    positive where it leans into the corner [rad], ``gradient`` is positive uphill, rise over run [1]. ``width`` is
    the same where it is known [m]. ``curvature_std`` is the standard uncertainty of the curvature at the edges
    where it was traced from several laps, (pieces + 1,) [1/m].
    """

    name: str
    edges: NDArray[np.float64]
    curvature: NDArray[np.float64]
    bank: NDArray[np.float64]
    gradient: NDArray[np.float64]
    closed: bool = True
    note: str = ""
    direction: str = ""
    """What its file says of the way round; `turned` says what the curvature says."""
    air_density: float | None = None
    width: NDArray[np.float64] | None = None
    curvature_std: NDArray[np.float64] | None = None
    places: tuple[TrackPlace, ...] = ()
    source: str = ""
    made_up: bool = False
    """Whether its line is still the one that a new track begins with."""

    def __post_init__(self) -> None:
        pieces = len(self.edges) - 1
        if pieces < 1 or not np.all(np.isfinite(self.edges)) or np.any(np.diff(self.edges) <= 0.0):
            raise DomainError(
                f"line of {self.name}: found edges that do not rise, expected one or more pieces of a length above 0"
            )
        for name in ("curvature", "bank", "gradient"):
            rows = getattr(self, name)
            if rows.shape != (pieces, 2) or not np.all(np.isfinite(rows)):
                raise DomainError(
                    f"{name} of {self.name}: found what is no number for every piece, expected two figures a piece"
                )

    @property
    def length(self) -> float:
        """Length of the line [m]."""
        return float(self.edges[-1])

    @property
    def turned(self) -> float:
        """How far the line turns from its beginning to its end, left positive [rad]."""
        return float(np.sum(np.diff(self.edges) * self.curvature.mean(axis=1)))

    def density(self, otherwise: float) -> float:
        """Return the density of its own air where it states one, else another [kg/m³]."""
        return otherwise if self.air_density is None else self.air_density

    def sampled(self, name: str, distance: ArrayLike) -> NDArray[np.float64]:
        """Read curvature, bank, gradient or width at some distances; at an edge, what begins there."""
        rows: NDArray[np.float64] = getattr(self, name)
        where = np.asarray(distance, float)
        piece = np.clip(np.searchsorted(self.edges, where, side="right") - 1, 0, len(rows) - 1)
        start, length = self.edges[piece], np.diff(self.edges)[piece]
        share = np.clip((where - start) / length, 0.0, 1.0)
        return np.asarray(rows[piece, 0] + share * (rows[piece, 1] - rows[piece, 0]))


def track_of_segments(
    name: str,
    length: ArrayLike,
    curvature: ArrayLike,
    *,
    bank: ArrayLike = 0.0,
    gradient: ArrayLike = 0.0,
    width: ArrayLike | None = None,
    closed: bool = True,
    note: str = "",
    direction: str = "",
    air_density: float | None = None,
    places: tuple[TrackPlace, ...] = (),
    source: str = "",
) -> Track:
    """Put a track together from segments of one curvature each.

    Parameters
    ----------
    name : str
        Of the track.
    length, curvature : array_like
        (segments,) of each segment [m]; one over its radius, left positive [1/m].
    bank, gradient, width : array_like, optional
        (segments,), or one for all: positive where it leans into the corner [rad]; rise over run, positive uphill [1]; [m].
    closed : bool
        Whether its end is its beginning.
    note, direction, source : str
        What is said of it, which way round it is driven, and where it is from.
    air_density : float, optional
        Of its own air [kg/m³].
    places : tuple of TrackPlace
        What is named along it.

    Returns
    -------
    Track
        One piece a segment.

    Raises
    ------
    DomainError
        If a length is not above 0, or a figure is no number.
    """
    lengths = np.asarray(length, float)

    def both(values: ArrayLike) -> NDArray[np.float64]:
        return read_only(
            np.repeat(np.broadcast_to(np.asarray(values, float), lengths.shape), 2).reshape(-1, 2)
        )

    return Track(
        name=name,
        edges=read_only(np.concatenate(([0.0], np.cumsum(lengths)))),
        curvature=both(curvature),
        bank=both(bank),
        gradient=both(gradient),
        width=None if width is None else both(width),
        closed=closed,
        note=note,
        direction=direction,
        air_density=air_density,
        places=places,
        source=source,
    )


def track_of_rows(
    name: str,
    distance: ArrayLike,
    curvature: ArrayLike,
    *,
    bank: ArrayLike = 0.0,
    gradient: ArrayLike = 0.0,
    width: ArrayLike | None = None,
    curvature_std: ArrayLike | None = None,
    closed: bool = True,
    note: str = "",
    direction: str = "",
    air_density: float | None = None,
    places: tuple[TrackPlace, ...] = (),
    source: str = "",
) -> Track:
    """Put a track together from rows along its line, (rows,), the first at 0, the last at the end of the lap."""
    where = np.asarray(distance, float)

    def pairs(values: ArrayLike) -> NDArray[np.float64]:
        rows = np.broadcast_to(np.asarray(values, float), where.shape)
        return read_only(np.stack([rows[:-1], rows[1:]], axis=1))

    return Track(
        name=name,
        edges=read_only(where.copy()),
        curvature=pairs(curvature),
        bank=pairs(bank),
        gradient=pairs(gradient),
        width=None if width is None else pairs(width),
        curvature_std=None if curvature_std is None else read_only(np.array(curvature_std, float)),
        closed=closed,
        note=note,
        direction=direction,
        air_density=air_density,
        places=places,
        source=source,
    )
