"""Plain geometry of the parts, numpy only: what checks, drawings, solids and the re-measurement all go by."""
