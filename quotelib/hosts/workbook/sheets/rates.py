"""The sheet of the shop's rates."""

from quotelib.hosts.workbook.layout import ON_RATES, define_record, guard, page, put_input_heads, put_inputs
from quotelib.hosts.workbook.model import Book, Sheet
from quotelib.rates import ShopRates
from quotelib.records import Entry


def fill(book: Book, sheet: Sheet, rates: ShopRates) -> None:
    """Put every rate on the sheet, group by group."""
    sheet.put(0, 0, "Shop rates", "title")
    sheet.put(1, 0, "Times, yields, machines and settings that every quote uses. Invented figures: put your own.", "note")
    sheet.put(2, 0, "Faults, named here; none if empty")
    row = 5
    groups: dict[str, list[Entry]] = {}
    for entry in ShopRates.entries():
        groups.setdefault(entry.group, []).append(entry)
    put_input_heads(sheet, 4, ON_RATES)
    first = row
    for group, entries in groups.items():
        sheet.put(row, 0, group, "heading")
        row = put_inputs(book, sheet, row + 1, entries, rates, ON_RATES)
    sheet.put(2, 1, guard(first, row - 1, ON_RATES), "guard")
    book.define("rates_faults", sheet, (2, 1))
    define_record(book, sheet, "rate", first, row - 1, ON_RATES)
    sheet.finish.append(page(widths=(34, 20, 14, 66, 30, 16, 26), frozen=(5, 1), heads=(4, 4)))
