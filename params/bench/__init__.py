"""The kinds of readings that are taken on the boat and at the bench, each a `Reading` group."""
