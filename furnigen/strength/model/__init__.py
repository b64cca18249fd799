"""A piece read as structural members: what carries what, spans, stations, demands."""
