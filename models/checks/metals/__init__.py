"""Corrosion and weights."""
