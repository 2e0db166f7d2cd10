"""What is said: schema, units, strict loader, standard tables, shipped parameter sets."""
