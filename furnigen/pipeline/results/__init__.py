"""The folder of results: written beside, put in place whole, what is not ours kept."""
