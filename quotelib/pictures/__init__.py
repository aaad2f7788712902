"""Pictures as SVG in millimetres, readable in black and white, of plain shapes that any browser or drawing tool shows."""
