"""The words for kinds of part, and where the schema of each stands: read by what must start without any schema."""

STRUT = "strut"
FAMILIES = {
    STRUT: ("schema", "ParameterSet"),
    "flanged_housing": ("schema_flange", "FlangedSet"),
    "rudder_shoe": ("schema_shoe", "ShoeSet"),
}
"""Every kind by its word: the module of its schema, read when a file asks for it, and the group that is the whole
file. A file without `part` is that of a strut."""
SIZED = (STRUT, "flanged_housing")
"""The kinds that `start`, `size`, `study` and `benchmark` know: whose sizes they can vary or propose."""


def not_sized(command: str, part: str) -> str:
    """Return why a command that varies sizes does not take a kind of part, and what to do; "" where it does."""
    if part in SIZED:
        return ""
    return (
        f"{command}: does not know how to vary or propose the sizes of a {part.replace('_', ' ')} yet; copy a shipped "
        "set (`strutwright sets` lists them), change its sizes by hand, and run `strutwright check` on it"
    )
