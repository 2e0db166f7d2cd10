"""The colours of metals, rubber and welds: red, green, blue, 0 to 1."""

Colour = tuple[float, float, float]
BRONZE: Colour = (0.72, 0.55, 0.30)
STEEL: Colour = (0.70, 0.72, 0.74)
SHELL: Colour = (0.80, 0.68, 0.32)
RUBBER: Colour = (0.15, 0.15, 0.16)
BUSH: Colour = (0.85, 0.84, 0.78)
BEAD: Colour = (0.55, 0.55, 0.52)
