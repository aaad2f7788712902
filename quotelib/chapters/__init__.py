"""The chapters of the trade, a module each: the functions that cells call, and what those reckon with."""
