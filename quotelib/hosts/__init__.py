"""Where the functions are typed into cells: Calc and Excel, each a thin layer made from the registry."""
