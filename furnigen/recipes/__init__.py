"""Recipes: typed parameters, the function that makes a piece, and finding its file."""
