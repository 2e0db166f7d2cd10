"""Plates by finite elements: what makes the table of `models/formulas/plate_core.txt`, and what it is held against."""
