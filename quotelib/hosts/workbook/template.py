"""The template workbook: its sheets, in the order a job goes through them.

Nothing of the trade is written in the sheets.  The inputs come from the fields of Job, ShopRates and the like, the formulas
from the routes run on the names of the input cells, the help from the registry; a sheet's module says where things stand
and how they look.
"""

from quotelib.hosts.workbook.model import Book
from quotelib.hosts.workbook.sheets import (
    after,
    begin,
    break_even,
    floor,
    functions,
    hours,
    investment,
    job,
    price,
    price_list,
    quote,
    quote_range,
    rates,
    reorders,
    route_map,
    run_size,
)
from quotelib.job import Job
from quotelib.kinds import day_of
from quotelib.prices.pricelist import PriceList
from quotelib.rates import ShopRates


def build_book(example: Job, shop_rates: ShopRates, shop_prices: PriceList) -> Book:
    """The template with a job, the shop's rates and the price list filled in."""
    book = Book()
    first = book.sheet("Begin")
    job.fill(book, book.sheet("Job"), example)
    break_even.fill(book, book.sheet("Break-even"))
    route_map.fill(book.sheet("Route map"))
    price.fill(book, book.sheet("Price"))
    quote.fill(book, book.sheet("Quote"))
    floor.fill(book, book.sheet("Floor"))
    quote_range.fill(book, book.sheet("Range"))
    run_size.fill(book, book.sheet("How many"))
    reorders.fill(book, book.sheet(reorders.TITLE))
    investment.fill(book, book.sheet(investment.TITLE))
    after.fill(book, book.sheet("After the job"))
    hours.fill(book, book.sheet(hours.TITLE))
    rates.fill(book, book.sheet("Shop rates"), shop_rates)
    price_list.fill(book, book.sheet("Price list"), shop_prices, day_of(example.quote_day))
    functions.fill(book.sheet("Functions"))
    begin.fill(book, first)
    return book
