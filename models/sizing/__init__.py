"""Sizing: a batch of candidates held to the same checks, the search for the lightest, and studies of a range."""
