"""An offer: one price that a supplier asks, in the shop's own terms; and its breaks brought to whole packs.

Breaks counted in units that are no whole packs get a smaller pack: 310.00 for 1000, with a price from 2500, stands as packs
of 500 at 155.00, with a price from 5.
"""

import datetime
import math
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Any


@dataclass(frozen=True)
class Offer:
    """One price that a supplier asks."""

    row: int
    """Its row or line in his file."""
    article: str
    code: str
    description: str
    kind: str
    pack_quantity: Decimal
    pack_unit: str
    pack: Decimal
    """What a pack holds in quoting units."""
    price: Decimal
    """Of a pack, in his currency."""
    currency: str
    from_quantity: int
    """Packs."""
    minimum_order: int | None
    """Packs, 1 where any quantity is sold; None where the mapping says nothing of it."""
    valid_from: datetime.date
    valid_to: datetime.date | None
    asked: str
    """What his file says, in words: `310.00 EUR for 1 M`."""


@dataclass(frozen=True)
class Priced:
    """A price of a row before its quantities are settled among the other breaks of its article."""

    offer: Offer
    start: Fraction
    """From quantity in packs."""
    least: Fraction | str | None
    """Minimum order in packs, or the words for the first break."""


def says(priced: Priced) -> Any:
    """What must be the same in two rows for them to say the same."""
    offer = priced.offer
    return offer.price, offer.currency, offer.valid_to, priced.least


def packs_text(packs: Fraction) -> str:
    """A number of packs in words."""
    return str(packs.numerator) if packs.denominator == 1 else f"{float(packs):g}"


def divisor_of(starts: list[Fraction]) -> int:
    """Into how many a pack must be divided for every break to start at whole packs.

    The smallest may start at part of a pack and needs none for that: a row from 1 pack prices a part of it too.
    """
    others = starts[1:] if starts[0] <= 1 and Fraction(1) not in starts[1:] else starts
    return math.lcm(*(start.denominator for start in others))


def factors(number: int) -> list[int]:
    """The prime factors of a whole number, the smallest first."""
    factors, divisor = [], 2
    while number > 1:
        while number % divisor == 0:
            factors.append(divisor)
            number //= divisor
        divisor += 1
    return factors


def divided(priced: Priced, divisor: int) -> Priced:
    """The price of a pack divided into smaller ones, exactly."""
    offer, least = priced.offer, priced.least
    if divisor > 1:
        offer = replace(
            offer,
            pack_quantity=offer.pack_quantity / divisor,
            pack=offer.pack / divisor,
            price=offer.price / divisor,
        )
        least = least * divisor if isinstance(least, Fraction) else least
    return Priced(offer, Fraction(max(1, math.ceil(priced.start * divisor))), least)
