"""The members of an ensemble: each uncertain number drawn from its band, all numbers independent.

A band (low, mid, high) is read as the 5th, 50th and 95th of a hundred of a quantity whose logarithm is
normal on either side of the middle. Members are spread by a Latin hypercube: each twentieth of a band gets
its share.
"""

from __future__ import annotations

import hashlib
import math
from statistics import NormalDist

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Band = tuple[float, float, float]

NORMAL = NormalDist()
EDGE = NORMAL.inv_cdf(0.95)
ALWAYS = 1e-12


class Draws:
    """Draws for one body, the same whenever the seed and the body's name are the same."""

    def __init__(self, members: int, seed: int, name: str) -> None:
        self.members, self._seed, self._name = members, seed, name
        self.bands: dict[str, Band] = {}

    def of(self, what: str, band: Band, least: float = 0.0, most: float = math.inf) -> Floats:
        """Members of a quantity, shape (members); the band is noted under its name.

        Beyond the band lie tails of a twentieth each; ``least`` and ``most`` are where
        nature ends them.

        Raises ValueError for a band that does not rise or is not positive where it is wide.
        """
        low, mid, high = band
        if not low <= mid <= high:
            raise ValueError(f"the band of {what} does not rise: {band}")
        self.bands[what] = band
        if high - low <= ALWAYS * abs(mid):
            return np.full(self.members, min(max(mid, least), most))
        if low <= 0.0:
            raise ValueError(f"the band of {what} must be above 0: {band}")
        score = self._scores(what)
        down, up = np.log(mid / low) / EDGE, np.log(high / mid) / EDGE
        drawn: Floats = np.clip(mid * np.exp(score * np.where(score < 0.0, down, up)), least, most)
        return drawn

    def _scores(self, what: str) -> Floats:
        """Normal scores, one from each of as many equal shares, in an order of their own."""
        told = f"{self._seed}|{self._name}|{what}".encode()
        order = np.random.default_rng(int.from_bytes(hashlib.sha256(told).digest()[:8], "big"))
        share = (order.permutation(self.members) + order.random(self.members)) / self.members
        return np.array([NORMAL.inv_cdf(min(max(float(one), 1e-6), 1.0 - 1e-6)) for one in share])


def band_of(values: Floats) -> Band:
    """The 5th, 50th and 95th of a hundred of some values."""
    low, mid, high = np.percentile(values, [5.0, 50.0, 95.0])
    return float(low), float(mid), float(high)
