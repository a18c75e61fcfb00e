"""Total downforce, put behind the channels that it is the sum of."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.model.channels import FRONT, REAR

if TYPE_CHECKING:
    from numpy.typing import NDArray


def with_total(channels: NDArray[np.float64]) -> NDArray[np.float64]:
    """Append total downforce to the channels.

    Parameters
    ----------
    channels : numpy.ndarray
        (..., 3) front downforce, rear downforce, drag, as forces or as areas. [1]

    Returns
    -------
    numpy.ndarray
        (..., 4) with the sum of both axles last, in the same unit. [1]

    Notes
    -----
    ``DF = DFf + DFr``.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> import numpy as np
    >>> with_total(np.array([100.0, 250.0, 900.0])).tolist()
    [100.0, 250.0, 900.0, 350.0]
    """
    total = channels[..., FRONT] + channels[..., REAR]
    return np.concatenate([channels, total[..., None]], axis=-1)


def with_total_std(channels: NDArray[np.float64]) -> NDArray[np.float64]:
    """Append the standard uncertainty of total downforce to those of the channels, the axles independent.

    Parameters
    ----------
    channels : numpy.ndarray
        (..., 3) standard uncertainty of front downforce, rear downforce, drag, of forces or of areas. [1]

    Returns
    -------
    numpy.ndarray
        (..., 4) with the root sum of squares of both axles last, in the same unit. [1]

    Notes
    -----
    ``u(DF)^2 = u(DFf)^2 + u(DFr)^2``.

    References
    ----------
    JCGM 100:2008 (GUM), 5.1.2.

    Examples
    --------
    >>> import numpy as np
    >>> with_total_std(np.array([3.0, 4.0, 2.0])).tolist()
    [3.0, 4.0, 2.0, 5.0]
    """
    total = np.hypot(channels[..., FRONT], channels[..., REAR])
    return np.concatenate([channels, total[..., None]], axis=-1)
