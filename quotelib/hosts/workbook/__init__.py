"""The template workbook: laid out from the registry, the records and the routes, every result worked out."""
