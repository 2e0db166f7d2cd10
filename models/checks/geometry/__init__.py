"""Checks that follow from the sizes."""
