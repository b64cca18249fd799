"""Drawings for the workshop, made of pages (`furnigen.paper`): exploded view, key, and the booklet of assembly."""
