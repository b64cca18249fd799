"""Free nesting for a router: parts by their true outlines, laid beside and inside each other."""
