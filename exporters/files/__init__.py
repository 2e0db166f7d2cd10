"""Files for machines and the folder they stand in."""
