"""Sizing: very many candidates held to the same checks at once, the search for the lightest, and studies of a range."""
