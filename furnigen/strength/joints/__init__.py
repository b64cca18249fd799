"""The strength of joints: what each must carry, and what it bears by published rules."""
