"""Quotes that were made: filed, compared, quoted again, and put on paper."""
