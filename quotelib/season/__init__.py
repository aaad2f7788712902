"""Many designs at once: priced, planned before the season, and set against the hours of the shop."""
