"""How cells look.  Inputs, results and notes differ by border and type as well as by shade: nothing hangs on colour."""

from typing import Any

from quotelib.kinds import DayKind, FlagKind, Kind, NumberKind

INK = "#24302B"
PINE = "#2F5D4E"
STRAW = "#FFF6DE"
MIST = "#EEF3F0"

FOOTER = "&L&A&CInvented figures&RPage &P of &N"
"""What stands at the foot of every printed page of the example."""

OWN_FOOTER = "&L&A&RPage &P of &N"
"""What stands there where the figures are the shop's own."""

FONT: dict[str, Any] = {"font_name": "Liberation Sans", "font_size": 10, "font_color": INK, "valign": "vcenter"}
INPUT: dict[str, Any] = {"bg_color": STRAW, "border": 1, "border_color": "#8A6D1F", "locked": False}
RESULT: dict[str, Any] = {"bottom": 4, "bottom_color": "#9AA8A2"}
TOTAL: dict[str, Any] = {"bold": True, "top": 1, "bottom": 6, "bg_color": MIST}

NUMBERS = {
    "money": "#,##0.00",
    "rate": "#,##0.0000",
    "unit price": "#,##0.000000",
    "count": "#,##0",
    "count if any": "#,##0;-#,##0;",
    "number": "#,##0.00##",
    "number if any": "#,##0.00##;-#,##0.00##;",
    "quantity": "[>=1000]#,##0;[>=100]#,##0.0;#,##0.00##",
    "short": "#,##0.0",
    "hours": "#,##0.00;-#,##0.00;",
    "share": "0.0%",
    "day": "yyyy-mm-dd",
    "text": "@",
    "flag": "General",
}
"""Number formats by the word that ends a style's name; hours, and those that end in if any, show nothing for 0."""


def _styles() -> dict[str, dict[str, Any]]:
    styles: dict[str, dict[str, Any]] = {
        "text": FONT,
        "title": FONT | {"bold": True, "font_size": 16, "font_color": PINE},
        "heading": FONT | {"bold": True, "font_size": 12, "font_color": PINE, "bottom": 2, "bottom_color": PINE},
        "columns": FONT | {"bold": True, "bg_color": MIST, "bottom": 1, "valign": "bottom"},
        "columns text": FONT
        | {"bold": True, "bg_color": MIST, "bottom": 1, "valign": "bottom", "align": "left", "indent": 1},
        "unit": FONT | {"indent": 1},
        "columns right": FONT
        | {"bold": True, "bg_color": MIST, "bottom": 1, "text_wrap": True, "valign": "bottom", "align": "right"},
        "wrapped": FONT | {"text_wrap": True, "valign": "top"},
        "map text": FONT | {"border": 1, "border_color": "#9AA8A2", "align": "right"},
        "map rate": FONT | {"border": 1, "border_color": "#9AA8A2", "num_format": NUMBERS["rate"]},
        "brand": FONT | {"bold": True, "font_size": 20, "font_color": "#FFFFFF", "bg_color": PINE, "indent": 1},
        "plain text": FONT | {"align": "left"},
        "plain day": FONT | {"align": "left", "num_format": NUMBERS["day"]},
        "plain money": FONT | {"num_format": NUMBERS["money"]},
        "plain count": FONT | {"num_format": NUMBERS["count"]},
        "plain quantity": FONT | {"num_format": NUMBERS["quantity"]},
        "caution line": FONT | {"left": 5, "left_color": "#A33B20", "indent": 1},
        "note": FONT | {"italic": True, "font_color": "#55625C"},
        "note beside": FONT | {"italic": True, "font_color": "#55625C", "indent": 1},
        "note wrapped": FONT | {"italic": True, "font_color": "#55625C", "text_wrap": True, "valign": "top"},
        "caution": FONT
        | {"text_wrap": True, "valign": "top", "left": 5, "left_color": "#A33B20", "align": "left", "indent": 1},
        "guard": FONT | {"bold": True, "left": 5, "left_color": "#A33B20", "indent": 1},
        "guard wrapped": FONT
        | {
            "bold": True,
            "left": 5,
            "left_color": "#A33B20",
            "align": "left",
            "indent": 1,
            "text_wrap": True,
            "valign": "top",
        },
        "code": FONT | {"font_name": "Liberation Mono", "font_size": 9, "text_wrap": True, "valign": "top"},
        "function": FONT
        | {"font_name": "Liberation Mono", "font_size": 9, "bold": True, "text_wrap": True, "valign": "top", "top": 1},
        "function text": FONT | {"text_wrap": True, "valign": "top", "top": 1},
    }
    for word, number in NUMBERS.items():
        align = {"align": "left"} if word in ("text", "day", "flag") else {}
        styles[f"input {word}"] = FONT | INPUT | {"num_format": number} | align
        indent = {"indent": 1} if align else {}
        styles[f"result {word}"] = FONT | RESULT | {"num_format": number if word != "text" else "General"} | align | indent
        styles[f"total {word}"] = FONT | TOTAL | {"num_format": number if word != "text" else "General"} | align
    styles["input wrapped"] = styles["input text"] | {"text_wrap": True}
    styles["data text"] = styles["result text"] | {"num_format": NUMBERS["text"]}  # 00123 stays a text when it is edited
    return styles


STYLES = _styles()
"""XlsxWriter format properties by the name of the style."""


def number_word(kind: Kind) -> str:
    """The word for the number format of a kind of value."""
    if isinstance(kind, DayKind):
        return "day"
    if isinstance(kind, FlagKind):
        return "flag"
    if not isinstance(kind, NumberKind):
        return "text"
    if kind.whole or kind.unit in ("pieces", "pieces/year"):
        return "count"
    return word_for_unit(kind.unit)


def word_for_unit(unit: str) -> str:
    """The word for the number format of a figure in a unit."""
    if unit == "currency":
        return "money"
    if unit.startswith("currency/"):
        return "rate" if unit == "currency/minute" else "money"
    return "share" if unit.startswith("fraction") else "number"
