"""Drawings a workshop builds from: views, dimensions, sheets."""
