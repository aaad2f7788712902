"""The sheet of prices: the one that a refresh replaces."""

import datetime

from quotelib.hosts.workbook.layout import page
from quotelib.hosts.workbook.model import Book, Sheet
from quotelib.prices import pricesheet
from quotelib.prices.pricelist import PriceList


def fill(book: Book, sheet: Sheet, prices: PriceList, read_on: datetime.date) -> None:
    """Put the price list on the sheet, in quoting units, with the supplier's own pack beside it."""
    sheet.put(0, 0, "Price list", "title")
    sheet.put(0, 3, "Invented suppliers and prices: put your own.", "note")
    values = pricesheet.stated_of(prices, read_on)
    for name, label, row, note in pricesheet.STATED:
        sheet.put(row, 0, label)
        sheet.put(row, 1, values[name], f"input {'day' if name == 'price_day' else 'text'}")
        sheet.put(row, 3, note, "note")
        book.define(name, sheet, (row, 1))
    columns = pricesheet.COLUMNS
    for place, column in enumerate(columns):
        style = "columns text" if column.word in ("text", "day") else "columns right"
        sheet.put(pricesheet.HEADINGS_ROW, place, column.heading, style)
    rows = pricesheet.rows_of(prices)
    for number, cells in enumerate(rows, pricesheet.FIRST_ROW):
        for place, (column, value) in enumerate(zip(columns, cells, strict=True)):
            sheet.put(number, place, value, "data text" if column.word == "text" else f"result {column.word}")
    first, last = pricesheet.FIRST_ROW, pricesheet.FIRST_ROW + len(rows) - 1
    book.define(pricesheet.PRICE_ROWS, sheet, (first, 0), (last, pricesheet.READ_COLUMNS - 1))
    book.define(pricesheet.PRICE_CODES, sheet, (first, 0), (last, 0))
    heads = pricesheet.HEADINGS_ROW
    filtered = (heads, 0, last, len(columns) - 1)
    widths = tuple(column.width for column in columns)
    sheet.finish.append(page(widths, frozen=(first, 1), heads=(heads, heads), filtered=filtered))
