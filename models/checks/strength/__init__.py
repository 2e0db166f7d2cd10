"""Checks of strength: arms, palm, bolts, welds, skeg, shaft."""
