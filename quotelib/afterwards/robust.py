"""Robust regression: what many say together, when a few are wrong and large ones scatter more.

    fit = robust_fit(drivers, amounts)        amounts = drivers x rates, a row for each ticket, a column for each driver
    fit.rates, fit.interval(0.95)             the rates with the interval of each
    fit.off                                   how far each row lies off, in standard deviations of its own

The fit is an MM estimate (Yohai, 1987): a start that stands nearly half of wrong rows, least trimmed squares over drawn
subsets (Rousseeuw, 1984), then Tukey's biweight with the scale of the start held fixed, which keeps nearly all of the
precision of least squares when nothing is wrong.  The scatter of a row is taken to grow as a power of what is expected of
it, the power being read off the rows.  Intervals come from the sandwich covariance with leverages (HC3), which holds
whatever the true scatter, and Student's distribution.
"""

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from quotelib.chapters.intervals import share_interval, student_quantile
from quotelib.errors import NoSolution

Floats = npt.NDArray[np.float64]

BIWEIGHT = 4.685
"""Where Tukey's biweight gives a row no weight at all, in standard deviations: 95 % as precise as least squares."""

NORMAL_MAD = 0.6744897501960817
"""The median distance from the mean, of a normal distribution with a standard deviation of 1."""

SUBSETS = 300
"""Subsets drawn for the start: with three rows in ten wrong and two drivers, all but surely a hundred clean ones."""

REFINED = 10
"""Of these, the best that are refined by least trimmed squares."""

SEED = 1
"""Of the draws of subsets, so that the same tickets always give the same rates."""

ROWS_TRIED = 1000
"""Rows on which the starts are compared; more say nothing new."""

ROUNDS = 4
"""Times that scatter and rates are worked out in turn."""

SETTLED = 1e-10
"""The rates have settled when a step changes them by less than this share."""

COLLINEAR = 30.0
"""Condition number of the scaled drivers from which their rates cannot be told apart (Belsley, Kuh and Welsch, 1980)."""


APART = "they must vary each for itself, or their rates cannot be told apart"


class Scatter(NamedTuple):
    """How much rows scatter, by what is expected of them."""

    middle: float
    """What is expected of the row in the middle."""
    scale: float
    """The standard deviation there."""
    power: float
    """How it grows with what is expected: 0 not at all, 1 in proportion."""
    least: float
    """Less than this is not expected of any row, as far as its scatter goes."""

    def of(self, expected: Floats) -> Floats:
        """Standard deviation of rows of which so much is expected."""
        return np.asarray(self.scale * (np.maximum(expected, self.least) / self.middle) ** self.power)


@dataclass(frozen=True, eq=False)
class RobustFit:
    """What a robust regression gave."""

    drivers: Floats
    amounts: Floats
    rates: Floats
    scatter: "Scatter"

    @cached_property
    def spread(self) -> Floats:
        """Standard deviation of each row."""
        return self.scatter.of(self.expected)

    @cached_property
    def expected(self) -> Floats:
        """What the rates say of each row."""
        return expected_of(self.drivers, self.rates)

    @cached_property
    def off(self) -> Floats:
        """How far each row lies off what is expected, in its own standard deviations."""
        return (self.amounts - self.expected) / self.spread

    @cached_property
    def covariance(self) -> Floats:
        """Covariance of the rates."""
        off = self.off
        inside = np.abs(off) < BIWEIGHT
        share = np.where(inside, (off / BIWEIGHT) ** 2, 1.0)
        scaled = self.drivers / self.spread[:, None]
        bread = np.linalg.inv(np.einsum("ij,i,ik->jk", scaled, (1 - share) * (1 - 5 * share), scaled))
        leverage = np.einsum("ij,jk,ik->i", scaled, bread, scaled) * (1 - share) ** 2
        score = off * (1 - share) ** 2 / np.maximum(1 - leverage, 0.1)
        return np.asarray(bread @ np.einsum("ij,i,ik->jk", scaled, score**2, scaled) @ bread)

    def interval(self, confidence: float) -> list[tuple[float, float]]:
        """Between which values each rate lies."""
        reach = student_quantile(confidence, len(self.amounts) - len(self.rates)) * np.sqrt(np.diag(self.covariance))
        return list(zip((self.rates - reach).tolist(), (self.rates + reach).tolist(), strict=True))


def expected_of(drivers: Floats, rates: Floats) -> Floats:
    """What the rates say of each row.

    Sums over many rows and few columns are written with einsum: a threaded matrix product waits for its threads on each of
    the many small steps, and what it gives can depend on how many there are.
    """
    return np.asarray(np.einsum("ij,j->i", drivers, rates))


def robust_fit(drivers: Floats, amounts: Floats, start: Floats | None = None) -> RobustFit:
    """Fit amounts to drivers, a column each; no constant is added.  `start`, where given, are rates from a fit like it.

    Raises NoSolution where the drivers vary so little, or so much alike, that their rates cannot be told apart.
    """
    check_drivers(drivers)
    rates = _start(drivers, amounts) if start is None else start
    try:
        for _ in range(ROUNDS if start is None else 2):
            scatter = _scatter(
                amounts - expected_of(drivers, rates), expected_of(drivers, rates), _floor(amounts), len(rates)
            )
            rates = _biweight(drivers, amounts, rates, scatter.of(expected_of(drivers, rates)))
        fit = RobustFit(drivers, amounts, rates, scatter)
        check_drivers(drivers[np.abs(fit.off) < BIWEIGHT])
        _ = fit.covariance  # worked out now, so that a fit that is returned has intervals
    except np.linalg.LinAlgError:
        raise NoSolution("drivers", "alike", APART) from None
    return fit


def check_drivers(drivers: Floats) -> None:
    """Refuse drivers whose rates cannot be told apart."""
    if len(drivers) <= drivers.shape[1]:
        raise NoSolution("drivers", f"{len(drivers)} rows", f"there must be more than {drivers.shape[1]}")
    lengths = np.sqrt((drivers**2).sum(axis=0))
    if not lengths.all():
        raise NoSolution("drivers", "0 throughout", "each must be above 0 in some rows")
    if np.linalg.cond(drivers / lengths) > COLLINEAR:
        raise NoSolution("drivers", "alike", APART)


def _start(drivers: Floats, amounts: Floats) -> Floats:
    """Rates that fit most rows, however wrong the others: the best of many drawn, then least trimmed squares."""
    width = drivers.shape[1]
    if width == 1:
        used = drivers[:, 0] > 0
        return np.full(1, np.median(amounts[used] / drivers[used, 0]))
    draw = np.random.default_rng(SEED)
    if len(amounts) > ROWS_TRIED:
        rows = draw.choice(len(amounts), ROWS_TRIED, replace=False)
        drivers, amounts = drivers[rows], amounts[rows]
    subsets = draw.integers(0, len(amounts), (SUBSETS, width))
    square, sides = drivers[subsets], amounts[subsets]
    lengths = np.sqrt((square**2).sum(axis=2)).prod(axis=1)
    sound = np.abs(np.linalg.det(square)) > 1e-3 * lengths
    if not sound.any():
        raise NoSolution("drivers", "alike", APART)
    tried = np.linalg.solve(square[sound], sides[sound][:, :, None])[:, :, 0]
    kept = len(amounts) // 2 + 1
    best: Floats = tried[0]
    least = math.inf
    for candidate in tried[np.argsort(_trimmed(drivers, amounts, tried, kept))[:REFINED]]:
        rates: Floats = candidate
        for _ in range(5):
            nearest = np.argpartition(_squares(drivers, amounts, rates), kept - 1)[:kept]
            scale = 1 / np.sqrt(_positive(drivers @ rates, amounts)[nearest, None])
            rates = np.asarray(np.linalg.lstsq(drivers[nearest] * scale, amounts[nearest] * scale[:, 0], rcond=None)[0])
        trimmed = float(_trimmed(drivers, amounts, rates[None], kept)[0])
        if trimmed < least:
            best, least = rates, trimmed
    return best


def _trimmed(drivers: Floats, amounts: Floats, tried: Floats, kept: int) -> Floats:
    """For each row of rates tried, the sum of so many smallest squares."""
    squares = _squares(drivers, amounts[:, None], tried.T)
    return np.asarray(np.partition(squares, kept - 1, axis=0)[:kept].sum(axis=0))


def _squares(drivers: Floats, amounts: Floats, rates: Floats) -> Floats:
    """Squared distances, as if scatter grew with the square root of what is expected."""
    expected = drivers @ rates
    return np.asarray((amounts - expected) ** 2 / _positive(expected, amounts))


def _positive(expected: Floats, amounts: Floats) -> Floats:
    """What is expected, kept well above zero."""
    return np.maximum(expected, _floor(amounts))


def _floor(amounts: Floats) -> float:
    """A hundredth of the amount in the middle."""
    return max(0.01 * float(np.median(np.abs(amounts))), 1e-9)


def _scatter(distance: Floats, expected: Floats, least: float, width: int) -> Scatter:
    """How rows scatter, from their distances; `width` rates were fitted.

    The power is read off the median distances of the smaller and of the larger half of the rows.
    """
    distance, expected = np.abs(distance), np.maximum(expected, least)
    middle = float(np.median(expected))
    small, large = expected <= middle, expected > middle
    power = 0.0
    if large.any():
        rise = math.log(float(np.median(expected[large]) / np.median(expected[small])))
        near, far = float(np.median(distance[small])), float(np.median(distance[large]))
        if rise > 0.05 and near > 0 and far > 0:
            power = min(max(math.log(far / near) / rise, 0.0), 1.0)
    few = 1 + 5 / max(len(distance) - width, 1)  # the correction of Rousseeuw and Leroy for few rows
    scale = float(np.median(distance / (expected / middle) ** power)) / NORMAL_MAD * few
    return Scatter(middle, max(scale, 1e-6 * middle), power, least)


def _biweight(drivers: Floats, amounts: Floats, rates: Floats, spread: Floats) -> Floats:
    """Rates by Tukey's biweight: least squares, weighted anew until nothing moves."""
    for _ in range(100):
        off = (amounts - expected_of(drivers, rates)) / (BIWEIGHT * spread)
        weights = np.where(np.abs(off) < 1, (1 - off**2) ** 2, 0.0) / spread**2
        weighted = drivers * weights[:, None]
        moved: Floats = np.linalg.solve(np.einsum("ij,ik->jk", weighted, drivers), np.einsum("ij,i->j", weighted, amounts))
        still = bool(np.all(np.abs(moved - rates) <= SETTLED * np.abs(rates)))
        rates = moved
        if still:
            break
    return rates


@dataclass(frozen=True)
class RobustShare:
    """A share learned from counts."""

    share: float
    off: Any
    """How far the count of each row lies off, in its own standard deviations."""
    hits: float
    trials: float
    """Counts that would say as much, had they scattered by the binomial alone; for the exact interval."""

    def interval(self, confidence: float) -> tuple[float, float]:
        """Between which values the share lies."""
        return share_interval(self.hits, self.trials, confidence)


def robust_share(hits: Floats, trials: Floats, far: float) -> RobustShare:
    """The share that hits are of trials, from the rows that lie no further off than `far` standard deviations.

    Distances are taken between square roots of counts, whose scatter is nearly the same for all (Anscombe, 1948), and the
    scatter about the median share is held fixed while the share settles, as in robust_fit.  Where rows scatter more than
    the binomial says, what they tell is worth fewer trials (Korn and Graubard, 1998), and so the exact interval widens.
    """
    share = float(np.median(hits / trials))
    expected = share * trials
    spread = np.maximum(_scatter(_apart(hits, trials, share), expected, 1e-9, 1).of(expected), 1.0)
    for _ in range(100):
        off = _apart(hits, trials, share) / spread
        weights = np.where(np.abs(off) < BIWEIGHT, (1 - (off / BIWEIGHT) ** 2) ** 2, 0.0)
        before, share = share, float((weights * hits).sum() / (weights * trials).sum())
        if abs(share - before) <= SETTLED * share:
            break
    off = _apart(hits, trials, share) / spread
    kept = np.abs(off) <= far
    share = float(hits[kept].sum() / trials[kept].sum())
    found, count, rows = float(hits[kept].sum()), float(trials[kept].sum()), int(kept.sum())
    if rows > 1 and 0 < share < 1:
        scatter = float(((hits - share * trials)[kept] ** 2).sum()) * rows / (rows - 1) / count**2
        worth = share * (1 - share) / scatter if scatter > 0 else count
        worth *= (student_quantile(0.95, count) / student_quantile(0.95, rows - 1)) ** 2
        if worth < count:
            found, count = share * worth, worth
    return RobustShare(share, off, found, count)


def _apart(hits: Floats, trials: Floats, share: float) -> Floats:
    """How far hits are from what the share says, in standard deviations if they scatter by the binomial alone."""
    return np.asarray(2 * (np.sqrt(hits + 0.375) - np.sqrt(share * trials + 0.375)) / math.sqrt(max(1 - share, 1e-9)))
