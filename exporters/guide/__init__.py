"""The guide: pages of text made from the schemas, the tables of limits and checks, the commands and the docstrings."""
