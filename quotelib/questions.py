"""Which function do I want: the questions of a working day, each with the functions that answer it."""

from typing import NamedTuple


class Question(NamedTuple):
    """A question in the words of the shop."""

    words: str
    functions: tuple[str, ...]
    """Cell names, the one to try first at the front."""


def _asks(words: str, functions: str) -> Question:
    return Question(words, tuple(functions.split()))


QUESTIONS = (
    _asks("What does it cost to get a design ready to print?", "SETUP_COST SCREEN_COST TOOL_COST TOOL_SETS"),
    _asks("How much of the set-up does each piece carry?", "SETUP_PER_UNIT"),
    _asks(
        "What does an hour of a machine cost?",
        "MACHINE_HOUR_RATE ANNUAL_EQUIVALENT DEPRECIATION_STRAIGHT DEPRECIATION_BY_USE",
    ),
    _asks("How long does a piece really take, and how often must I time it?", "STANDARD_MINUTES TIMINGS_NEEDED"),
    _asks("How many minutes does the printing take, and what do they cost?", "COLOUR_MINUTES COLOUR_LABOUR SHARED_MINUTES"),
    _asks("When is the run done on the clock, drying included?", "ELAPSED_MINUTES"),
    _asks("How much quicker does it get with practice?", "LEARNING_MINUTES LEARNING_CURVE"),
    _asks("How much ink goes through this mesh?", "INK_FILM MESH_OPENING MESH_OPEN_AREA INK_FILM_MEASURED"),
    _asks("How much ink does a run need?", "INK_FOR_RUN INK_PER_PRINT PLATE_INK_PER_PRINT"),
    _asks("Do the dots of a plate or tint close up?", "DOT_GAP TONE_VALUE TONE_VALUE_INCREASE TINT_DENSITY"),
    _asks("How thick will it feel?", "HAND_COLOURS_FELT TOTAL_FILM"),
    _asks(
        "How long is art that goes round a curve?", "ARC_LENGTH CHORD_LENGTH SAGITTA RADIUS_FROM_SAGITTA CHORD_FROM_SAGITTA"
    ),
    _asks("The print comes out too long: how much must the art shrink?", "ART_SCALE PRINT_GROWTH"),
    _asks("How far may the screen stand off?", "OFF_CONTACT_ALLOWED SCREEN_STRETCH OFF_CONTACT_SPREAD"),
    _asks("How many pieces must I start?", "PIECES_TO_START ROLLED_YIELD YIELD_OF_STEPS CREW_YIELD"),
    _asks("What does a reject cost?", "REJECT_COST REJECT_COST_OF_STEPS SPOILED_BEFORE_PRESSING SPOILED_AFTER_PRESSING"),
    _asks("How many transfers fit on a sheet, and how many sheets do I print?", "UP_PER_SHEET SHEETS_FOR TRANSFER_PASSES"),
    _asks("What does a transfer cost, made and pressed?", "TRANSFER_UNIT_COST TRANSFER_PRICE PRESSING_MINUTES"),
    _asks("What does this material cost on that day?", "PRICE_ON PRICE_ROW PRICE_BREAKS PRICES_HOLD_UNTIL"),
    _asks("What do I pay for this quantity, and would a larger order be cheaper?", "BUY_COST CHEAPER_ORDER PRICE_AT"),
    _asks("From which run is the dearer set-up worth it?", "BREAK_EVEN_RUN CHANGE_OVER_RUN CHANGE_OVER_TABLE"),
    _asks("Which way is the cheapest, at every run and number of colours?", "ROUTE_STRETCHES ROUTE_MAP BREAK_EVEN_COLOURS"),
    _asks("What does a run cost, line by line?", "RUN_COST UNIT_COST LINE_QUANTITY"),
    _asks("How many must I sell before it pays?", "BREAK_EVEN_VOLUME PAYING_RUN BREAK_EVEN_PRICE MARGIN_OF_SAFETY"),
    _asks("What do I charge?", "MARGIN_PRICE MARKUP_PRICE ROUND_PRICE QUOTE_LINES CUSTOMER_LINES PRICE_LADDER"),
    _asks("Margin or markup?", "MARGIN_OF_MARKUP MARKUP_OF_MARGIN"),
    _asks("How low may I go?", "FLOOR_PRICE LOSS_CHANCE CONTRIBUTION_PER_HOUR"),
    _asks("How sure is this quote?", "COST_RANGE CHANGE_OVER_RANGE LOSS_CHANCE SPREAD_SHARES SPREAD_VALUE"),
    _asks("What does the floor need to know of this job?", "FLOOR_STEPS FLOOR_CAUTIONS"),
    _asks("How many will sell?", "SEASON_DEMAND DEMAND_MEAN DEMAND_QUANTILE CHANCE_ENOUGH"),
    _asks("How many should I make now?", "BEST_PLAN NEWSVENDOR_RUN CRITICAL_RATIO PLAN_COSTS"),
    _asks(
        "Will I be stuck with slow stock, or run short?",
        "CHANCE_STUCK MONTHS_OF_STOCK EXPECTED_LEFT_OVER EXPECTED_SHORT EXPECTED_SALES FILL_RATE",
    ),
    _asks(
        "How much do I order each time, where demand is even?",
        "BEST_ORDER ECONOMIC_ORDER_QUANTITY BAND_ORDERS ORDER_COSTS YEARLY_ORDER_COST",
    ),
    _asks(
        "When do I make which lot, where demand is known and uneven?",
        "WAGNER_WHITIN_LOTS SILVER_MEAL_LOTS SILVER_MEAL_EXTRA LOTS_COST LOTS_STOCK",
    ),
    _asks("What is it worth to decide later?", "WAITING_VALUE SAFETY_STOCK POOLED_DEVIATION"),
    _asks(
        "Does a new press or jig pay?",
        "EQUIPMENT_SAVING EQUIPMENT_BREAK_EVEN EQUIPMENT_FLOWS PAYBACK_YEARS RATE_OF_RETURN RATES_OF_RETURN "
        "NET_PRESENT_VALUE ANNUAL_WORTH PROFITABILITY_INDEX CASH_FLOW_TABLE",
    ),
    _asks("Do I make it myself, or buy it?", "MAKE_SAVING MAKE_PAYS_FROM"),
    _asks("Do the hours suffice?", "LOAD_BY_WEEK UTILISATION WORKING_HOURS ROUTE_HOURS LEAD_TIME"),
    _asks("When can I promise it?", "PROMISE_DAY PROMISE_PLAN DONE_DAY"),
    _asks("In which order do I run the jobs?", "DUE_SEQUENCE JOHNSON_SEQUENCE JOHNSON_HOURS"),
    _asks("Which contract work do I take into idle hours?", "CONTRACT_CHOICE CONTRIBUTION_PER_HOUR"),
    _asks(
        "Why did the job cost more than quoted?",
        "JOB_VARIANCES COST_VARIANCES RATE_VARIANCE QUANTITY_VARIANCE VOLUME_VARIANCE MIX_VARIANCE MIX_YIELD_VARIANCE",
    ),
    _asks("Were my rates true?", "LEARNED_RATE REJECT_SHARE_RANGE"),
    _asks("Why does this cell show an error?", "REASON INPUT_FAULTS LIBRARY_VERSION"),
)
"""In the order of a job, from artwork to after it."""
