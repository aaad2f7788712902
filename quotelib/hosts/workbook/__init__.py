"""The template workbook: laid out from the registry, the records and the routes, and stored with every result worked out."""
