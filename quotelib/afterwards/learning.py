"""Learning the shop's rates from job tickets: what they show, which of them do not fit, and what a change would do.

    lesson = learn(load_tickets("examples/season/tickets.csv"), rates)
    lesson.learned       each rate: present, proposed, interval, tickets used
    lesson.misfits       tickets set aside, with why
    lesson.refused       rates that nothing can be said of, with why

Nothing is changed here: a proposal is a proposal.  A ticket that is wrong in one place is trusted in none, so it is set
aside for all rates of its work.  How rates are fitted is said in robust.py.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from quotelib.afterwards.robust import Floats, RobustFit, RobustShare, expected_of, robust_fit, robust_share
from quotelib.afterwards.tickets import WORKS, Tickets
from quotelib.errors import LookupMiss, NoSolution
from quotelib.job import Job
from quotelib.kinds import NumberKind
from quotelib.quoting import Quote, quote
from quotelib.rates import ShopRates

FEWEST = 10
"""Tickets that a rate needs at least."""

FAR = 5.0
"""A ticket further off than so many of its standard deviations does not fit."""

DISAGREEING = 1 / 3
"""Where more than this share of the tickets of a work do not fit, nothing is learned of it."""

ROUNDS = 6
"""Times that rates and the tickets set aside are worked out in turn, at most."""

CONFIDENCE = 0.95


class Law(NamedTuple):
    """How an amount on the tickets of a work follows from the shop's rates."""

    work: str
    column: str
    """The amount, in the words of a message."""
    amounts: Callable[[Tickets], Floats]
    rates: tuple[str, ...]
    drivers: Callable[[Tickets], tuple[Floats, ...]]
    """What each rate is multiplied by."""
    an_hour: bool = False
    """Whether the rate is pieces an hour, not minutes a piece."""
    habit: bool = False
    """Whether the shop is free to do otherwise, so that a ticket far off is no slip."""


def _column(name: str) -> Callable[[Tickets], Floats]:
    return lambda tickets: tickets.numbers[name]


def _each(tickets: Tickets) -> tuple[Floats, ...]:
    return (tickets.each,)


def _once_and_each(tickets: Tickets) -> tuple[Floats, ...]:
    return np.ones(len(tickets)), tickets.each


def _prints(tickets: Tickets) -> tuple[Floats, ...]:
    return (tickets.prints,)


def _passes_and_sheets(tickets: Tickets) -> tuple[Floats, ...]:
    return tickets.each, tickets.numbers["started_pieces"]


def _spoiled(tickets: Tickets) -> Floats:
    return tickets.spoiled


MAKEREADY, RUNNING, WASHUP = "make-ready minutes", "running minutes", "wash-up minutes"

LAWS = (
    *(
        law
        for work in ("hand", "pad")
        for law in (
            Law(
                work, MAKEREADY, _column("makeready_minutes"),
                (f"{work}_approval_minutes", f"{work}_makeready_minutes"), _once_and_each,
            ),
            Law(work, RUNNING, _column("running_minutes"), (f"{work}_piece_minutes",), _prints),
            Law(work, WASHUP, _column("washup_minutes"), (f"{work}_washup_minutes",), _each),
        )
    ),
    Law("sheets", MAKEREADY, _column("makeready_minutes"), ("flat_makeready_minutes",), _each),
    Law("sheets", RUNNING, _column("running_minutes"), ("flat_sheets_per_hour",), _prints, True),
    Law("sheets", WASHUP, _column("washup_minutes"), ("flat_washup_minutes",), _each),
    Law("sheets", "spoiled sheets", _spoiled, ("overs_per_pass", "running_waste"), _passes_and_sheets),
    Law("pressing", "warm-up minutes", _column("makeready_minutes"), ("roller_warmup_minutes",), _each),
    Law("pressing", RUNNING, _column("running_minutes"), ("roller_pieces_per_hour",), _prints, True),
    Law("pressing", "good pieces", _column("good_pieces"), ("pieces_per_session",), _each, habit=True),
)  # fmt: skip
"""What the tickets tell of the rates: each amount is the sum of rates times drivers."""

YIELDS = {"hand": "hand_yield", "pressing": "roller_yield", "pad": "pad_yield"}
"""The yield that the rejects of a work tell of: of each colour, or of the roller."""

LEARNABLE = (*(name for law in LAWS for name in law.rates), *YIELDS.values())
"""Every rate that tickets tell of."""


@dataclass(frozen=True)
class Learned:
    """One rate as the tickets show it."""

    name: str
    title: str
    unit: str
    work: str
    present: float
    proposed: float
    """What the tickets show, rounded well within the interval."""
    least: float
    most: float
    used: int
    """Tickets it was learned from."""

    @property
    def changes(self) -> bool:
        """Whether the tickets speak against the present rate: it lies outside the interval."""
        return not self.least <= self.present <= self.most


class Misfit(NamedTuple):
    """A ticket that was set aside."""

    line: int
    ticket: str
    work: str
    why: str


@dataclass(frozen=True)
class Lesson:
    """What the tickets of a shop show."""

    learned: list[Learned]
    misfits: list[Misfit]
    """In the order of the file."""
    refused: list[tuple[str, str]]
    """Rates that nothing can be said of, and why."""

    def changes(self, names: Iterable[str] | None = None) -> dict[str, float]:
        """The proposed rates by name: those named, or all whose present value lies outside its interval.

        Raises LookupMiss for a rate that was not learned.
        """
        known = {each.name: each for each in self.learned}
        if names is None:
            return {each.name: each.proposed for each in self.learned if each.changes}
        for name in names:
            if name not in known:
                why = dict(self.refused).get(name, f"it must be one of {', '.join(known)}")
                raise LookupMiss("rate to apply", name, why)
        return {name: known[name].proposed for name in names}


def learn(tickets: Tickets, rates: ShopRates) -> Lesson:
    """What the tickets say of the shop's rates."""
    learned: list[Learned] = []
    misfits: list[Misfit] = []
    refused: list[tuple[str, str]] = []
    for work in WORKS:
        study = _Study(work, tickets.only(tickets.work == work), rates)
        learned += study.learned()
        misfits += study.misfits()
        refused += study.refused
    order = {name: place for place, name in enumerate(LEARNABLE)}
    learned.sort(key=lambda each: order[each.name])
    return Lesson(learned, sorted(misfits), refused)


class _Study:
    """The tickets of one work: fitted, those that do not fit set aside, and fitted again."""

    def __init__(self, work: str, tickets: Tickets, rates: ShopRates) -> None:
        self.work, self.tickets, self.rates = work, tickets, rates
        self.laws = [law for law in LAWS if law.work == work]
        self.fits: dict[Law, RobustFit] = {}
        self.off: dict[str, Floats] = {}
        """By the amount: how far each ticket lies off, NaN where it says nothing."""
        self.expected: dict[str, Floats] = {}
        self.share: RobustShare | None = None
        self.refused: list[tuple[str, str]] = []
        self.contradictions = _contradictions(tickets)
        sound = np.array([not why for why in self.contradictions], dtype=bool)
        self.kept = sound
        for _ in range(ROUNDS):
            self._fit()
            far = [np.abs(off) > FAR for off in self.off.values()]
            before, self.kept = self.kept, sound & ~np.any(far, axis=0) if far else sound
            if (self.kept == before).all():
                break

    def _fit(self) -> None:
        """Every law on the tickets that are kept, and how far all tickets lie off."""
        self.refused = []
        for law in self.laws:
            amounts, drivers = law.amounts(self.tickets), np.column_stack(law.drivers(self.tickets))
            told = np.isfinite(amounts) & np.isfinite(drivers).all(axis=1)
            used = self.kept & told
            try:
                self._need(int(used.sum()))
                before = self.fits.get(law)
                fit = robust_fit(drivers[used], amounts[used], before.rates if before else None)
                self.fits[law] = fit
            except NoSolution as refusal:
                self.fits.pop(law, None)
                self.refused += [(name, _reason(refusal, law)) for name in law.rates]
                continue
            if law.habit:
                continue
            self.expected[law.column] = expected = expected_of(drivers, fit.rates)
            self.off[law.column] = np.where(told, (amounts - expected) / fit.scatter.of(expected), np.nan)
        if self.work in YIELDS:
            self._fit_yield()

    def _fit_yield(self) -> None:
        """Rejects among the pieces entering the colours."""
        trials, used = self.tickets.prints, self.kept
        try:
            self._need(int(used.sum()))
        except NoSolution as refusal:
            self.share = None
            self.refused.append((YIELDS[self.work], refusal.allowed))
            return
        self.share = robust_share(self.tickets.spoiled[used], trials[used], FAR)
        self.off["rejects"] = np.zeros(len(used))
        self.off["rejects"][used] = self.share.off
        self.expected["rejects"] = self.share.share * trials

    def _need(self, count: int) -> None:
        """Refuse what cannot be learned from so few tickets, or from tickets that disagree."""
        if count < FEWEST:
            raise NoSolution("tickets", count, f"{count} tickets tell of it; at least {FEWEST} must")
        aside, every = int((~self.kept).sum()), len(self.kept)
        if aside > DISAGREEING * every:
            raise NoSolution("tickets", aside, f"{aside} of the {every} tickets do not fit; look into those first")

    def learned(self) -> Iterator[Learned]:
        """Each rate as the tickets that fit show it."""
        for law, fit in self.fits.items():
            waste = fit.rates[-1] if law.rates[-1] == "running_waste" else 0.0
            for name, rate, interval in zip(law.rates, fit.rates.tolist(), fit.interval(CONFIDENCE), strict=True):
                values = [rate, *interval]
                if law.an_hour:
                    values = [60 / values[0], 60 / values[2], 60 / values[1] if values[1] > 0 else np.inf]
                elif name == "overs_per_pass":  # sheets spoiled in make-ready are not spoiled in running too
                    values = [value / (1 - waste) for value in values]
                yield self._one(len(fit.amounts), name, *values)
        if self.share is not None:
            least, most = self.share.interval(CONFIDENCE)
            name, kept = YIELDS[self.work], int(self.kept.sum())
            yield self._one(kept, name, 1 - self.share.share, 1 - most, 1 - least)

    def _one(self, used: int, name: str, value: float, least: float, most: float) -> Learned:
        """One rate within what its kind allows."""
        entry = next(entry for entry in ShopRates.entries() if entry.name == name)
        kind = entry.kind
        assert isinstance(kind, NumberKind)

        def allowed(number: float) -> float:
            return min(max(float(number), kind.low), kind.high) + 0.0

        value, least, most = map(allowed, (value, least, most))
        proposed = allowed(round(value) if kind.whole else rounded(value, most - least))
        present = float(getattr(self.rates, name))
        return Learned(name, entry.title, kind.unit, self.work, present, proposed, least, most, used)

    def misfits(self) -> Iterator[Misfit]:
        """The tickets set aside, with why."""
        for place in np.flatnonzero(~self.kept).tolist():
            why = self.contradictions[place] or "; ".join(self._why(place))
            yield Misfit(int(self.tickets.line[place]), self.tickets.ticket[place], self.work, why)

    def _why(self, place: int) -> Iterator[str]:
        """What a ticket says against what the others do, and what may have happened."""
        amounts = {law.column: law.amounts(self.tickets)[place] for law in self.laws}
        amounts["rejects"] = self.tickets.spoiled[place]
        ratios = {}
        for column, off in self.off.items():
            expected = max(float(self.expected[column][place]), 1e-9)
            ratios[column] = float(amounts[column]) / expected
            if abs(off[place]) > FAR:
                told = f"where the others say about {_about(expected)} ({_times(ratios[column])})"
                yield f"{column} {amounts[column]:g}, {told}"
        guess = _guess(ratios, {column for column, off in self.off.items() if abs(off[place]) > FAR}, WORKS[self.work].each)
        if guess:
            yield f"perhaps {guess}"


def _about(amount: float) -> str:
    """An amount to three digits or so."""
    return f"{amount:,.0f}" if amount >= 100 else f"{amount:.3g}"


def _times(ratio: float) -> str:
    """How many times as much: 3.1 times, or 1/60 of it."""
    return f"{ratio:.2g} times" if ratio >= 0.095 else f"1/{1 / ratio:.0f} of it" if ratio > 1e-6 else "nothing of it"


def _reason(refusal: NoSolution, law: Law) -> str:
    """Why a law cannot be learned, in words."""
    if refusal.value == "alike":
        return (
            f"its part of the {law.column} cannot be told from the others: the tickets vary too little, or too much alike"
        )
    return refusal.allowed


def _contradictions(tickets: Tickets) -> list[str]:
    """What is wrong with a ticket in itself; blank where nothing is."""
    started, good = tickets.numbers["started_pieces"], tickets.numbers["good_pieces"]
    why = [""] * len(tickets)
    for place in np.flatnonzero(good > started).tolist():
        why[place] = f"{good[place]:g} good of {started[place]:g} started"
    for name in ("makeready_minutes", "running_minutes", "washup_minutes"):
        for place in np.flatnonzero(tickets.numbers[name] == 0).tolist():
            why[place] = f"{name} is 0; blank says that it was not kept"
    for place, found in enumerate(tickets.rejects):
        if found and len(found) != tickets.numbers["colours"][place]:
            why[place] = f"rejects of {len(found)} colours, where {tickets.numbers['colours'][place]:g} were printed"
        elif found and sum(found) != tickets.spoiled[place]:
            why[place] = f"{sum(found)} rejects by colour, where {tickets.spoiled[place]:g} of those started are not good"
    return why


def _guess(ratios: dict[str, float], off: set[str], each: str) -> str:
    """What may have happened, from how many times as much a ticket says as the others."""

    def about(column: str, ratio: float) -> bool:
        return column in off and ratio / 1.6 < ratios[column] < ratio * 1.6

    minutes = [column for column in ratios if column.endswith("minutes")]
    for column in minutes:
        if about(column, 1 / 60):
            return f"hours in place of minutes ({column})"
        if about(column, 60):
            return f"seconds in place of minutes ({column})"
    ready = minutes[0] if minutes else ""
    if {ready, RUNNING} <= off and ready != RUNNING and 0.4 < ratios[ready] * ratios[RUNNING] < 2.5:
        return f"{ready} and {RUNNING} in each other's place"
    if about(RUNNING, 0.1):
        return "a digit missing in the minutes, or one too many in the pieces"
    if about(RUNNING, 10):
        return "a digit too many in the minutes, or one missing in the pieces"
    by_each = [column for column in ratios if column in (ready, WASHUP)]
    agreed = [ratios[column] for column in by_each]
    if off & set(by_each) and max(agreed) < 1.6 * min(agreed) and (max(agreed) < 0.8 or min(agreed) > 1.25):
        return f"another number of {each}"
    return ""


def rounded(value: float, width: float) -> float:
    """The value to as few decimals as move it by a fortieth of its interval at most.

    >>> rounded(41.27381, 3.4)
    41.3
    """
    decimals = 0
    while decimals < 12 and abs(round(value, decimals) - value) > width / 40:
        decimals += 1
    return round(value, decimals)


# --- what a change would do to quotes ---


class Effect(NamedTuple):
    """What a change of rates would do to a list of quotes."""

    change: str
    """Name of the rate, or `all together`."""
    cost: float
    """Cost of all the jobs, each by its cheapest route."""
    change_of_cost: float
    """How much more that is than at the present rates."""
    most: str
    """The design whose piece changes most."""
    most_before: float
    most_after: float
    flips: list[tuple[str, str, str]]
    """Designs whose cheapest route changes: design, key of the route before and after."""


ALL_TOGETHER = "all together"


def effects(jobs: list[Job], rates: ShopRates, price_rows: Any, changes: dict[str, float]) -> list[Effect]:
    """What each change would do to the quotes of these jobs, one by one and then all together."""
    before = [_cheapest(quote(job, rates, price_rows)) for job in jobs]
    told = [(name, rates.changed(name, value)) for name, value in changes.items()]
    if len(changes) > 1:
        together = rates
        for name, value in changes.items():
            together = together.changed(name, value)
        told.append((ALL_TOGETHER, together))
    found = []
    for name, changed in told:
        after = [_cheapest(quote(job, changed, price_rows)) for job in jobs]
        sums = [
            sum(cost * job.good_pieces for job, (_, cost) in zip(jobs, costs, strict=True)) for costs in (before, after)
        ]
        most = max(range(len(jobs)), key=lambda place: abs(after[place][1] / before[place][1] - 1))
        flips = [
            (job.design, was[0], now[0]) for job, was, now in zip(jobs, before, after, strict=True) if was[0] != now[0]
        ]
        found.append(Effect(name, sums[1], sums[1] - sums[0], jobs[most].design, before[most][1], after[most][1], flips))
    return found


def _cheapest(quoted: Quote) -> tuple[str, float]:
    """The key of the cheapest route at the job's run, and its cost of a good piece."""
    costs = {key: float(quoted.unit_cost(key)) for key in quoted.curves}
    key = min(costs, key=costs.__getitem__)
    return key, costs[key]
