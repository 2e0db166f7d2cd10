"""The words for kinds of part, and where the schema of each stands: read by what must start without any schema."""

STRUT = "strut"
FAMILIES = {
    STRUT: ("schema", "ParameterSet"),
    "flanged_housing": ("schema_flange", "FlangedSet"),
    "shaft_hanger": ("schema_hanger", "HangerSet"),
}
"""Every kind by its word: the module of its schema, read when a file asks for it, and the group that is the whole
file. A file without `part` is that of a strut."""
PROPOSED = (STRUT, "flanged_housing")
"""Those of which `start` and `size` can propose a set from a few figures."""
