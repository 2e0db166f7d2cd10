"""The live page: a set to look at and to change in a browser on the same machine (an optional extra)."""
