"""How a piece is built and stays together: load path, order of assembly, movement of wood."""
