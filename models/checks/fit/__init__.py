"""Checks of the bearing in its barrel."""
