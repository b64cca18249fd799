"""Lower bounds on cost and sheets, proven in whole numbers."""
