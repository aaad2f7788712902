"""Seasons drawn at random, to see that what is expected is what comes out: seeded, and with their own error stated.

seen = simulated_plan(made, demand, terms, seasons=1_000_000, seed=7)
seen.mean.production     the mean of the seasons
seen.error.production    its standard error: the exact value lies within 3 of them in 997 cases of 1,000
"""

import math
from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np

from quotelib.chapters.demand import counts_of
from quotelib.chapters.plans import Made, Parts, Season, Terms, parts
from quotelib.kinds import DEMAND, DemandFigures

SEASONS = 1_000_000

CHUNK = 16_384
"""Seasons worked out at a time, so that they stay in the processor's cache."""


class Seen(NamedTuple):
    """What the seasons drawn came to."""

    mean: Parts
    error: Parts
    """Standard error of each mean."""
    total: tuple[float, float]
    """Mean of the whole cost, and its standard error."""


def draw_demand(demand: DemandFigures, seasons: int, generator: np.random.Generator) -> Any:
    """Demand of so many seasons."""
    form, figures = demand
    if form == "normal":
        drawn = generator.normal(figures[0], figures[1], seasons)
        return np.maximum(drawn, 0.0, out=drawn)
    if form == "poisson":
        return generator.poisson(figures[0], seasons)
    if form == "negative binomial":
        counts = counts_of(demand)
        return generator.negative_binomial(counts.size, 1 - counts.again, seasons)
    return np.array(figures, dtype=np.int64)[generator.integers(len(figures), size=seasons)]


def simulated_plan(made: Made, demand: Any, terms: Terms, seasons: int = SEASONS, seed: int = 1) -> Seen:
    """The cost of a plan over so many seasons; the same seed gives the same seasons."""
    figures = DEMAND.admit("demand", demand)
    generator = np.random.default_rng(seed)
    sums = np.zeros(len(Parts._fields) + 1)
    squares = np.zeros_like(sums)
    if figures.form == "normal":
        for start in range(0, seasons, CHUNK):
            _add(made, terms, draw_demand(figures, min(CHUNK, seasons - start), generator), None, sums, squares)
    else:  # whole pieces: how often each number was drawn says it all
        counts = np.bincount(draw_demand(figures, seasons, generator))
        drawn = np.flatnonzero(counts)
        _add(made, terms, drawn.astype(float), counts[drawn].astype(float), sums, squares)
    mean = sums / seasons
    error = np.sqrt(np.maximum(squares / seasons - mean * mean, 0.0) / seasons)
    return Seen(Parts(*mean[:-1].tolist()), Parts(*error[:-1].tolist()), (float(mean[-1]), float(error[-1])))


def season_of(made: Made, demand: Any) -> Season:
    """What an array of demands makes of one plan, season by season."""
    beyond = np.maximum(demand - made.up_front, 0.0)
    lots = np.ceil(np.minimum(beyond, made.held) / made.lot)
    full_lots = np.minimum(lots, made.full_lots)
    return Season(
        demand=demand,
        full_lots=full_lots,
        rest=lots - full_lots,
        presses=lots > 0,
        beyond_up_front=beyond,
        beyond_full_lots=np.maximum(beyond - made.full_lots * made.lot, 0.0),
        short=np.maximum(beyond - made.held, 0.0),
    )


def _add(made: Made, terms: Terms, drawn: Any, times: Any, sums: Any, squares: Any) -> None:
    """Add to the sums and the squares of all parts and of the total what these demands come to, each so many times."""
    costs = parts(made, season_of(made, drawn), terms)
    for place, figure in enumerate((*costs, costs.total)):
        figure = np.broadcast_to(figure, drawn.shape)
        weighted = figure if times is None else figure * times
        sums[place] += weighted.sum()
        squares[place] += np.einsum("i,i->", weighted, figure)  # not through BLAS, whose threads get in each other's way


def simulated_waiting_value(
    deviations: Sequence[float], short_cost: float, left_cost: float, correlation: float = 0.0,
    seasons: int = 100_000, seed: int = 1,
) -> tuple[float, float]:  # fmt: skip
    """The value of waiting (pooling.WAITING_VALUE) over so many seasons, and its standard error.

    Every design's demand strays from its mean as a normal, all correlated alike; a stock for each design is set against
    one stock for all, each stock the best for its own ups and downs.
    """
    from statistics import NormalDist

    spread = np.asarray(deviations, dtype=float)
    correlations = np.full((spread.size, spread.size), correlation)
    np.fill_diagonal(correlations, 1.0)
    values, vectors = np.linalg.eigh(correlations)
    mixing = vectors * np.sqrt(np.maximum(values, 0.0))
    strays = np.random.default_rng(seed).standard_normal((seasons, spread.size)) @ mixing.T * spread
    pooled = math.sqrt(max(spread @ correlations @ spread, 0.0))
    z = NormalDist().inv_cdf(short_cost / (short_cost + left_cost))

    def cost(over: Any) -> Any:
        return np.where(over > 0, short_cost * over, -left_cost * over)

    saved = cost(strays - z * spread).sum(axis=1) - cost(strays.sum(axis=1) - z * pooled)
    return float(saved.mean()), float(saved.std() / math.sqrt(seasons))
