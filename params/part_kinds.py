"""The words for kinds of part, and where the schema of each stands: read by what must start without any schema."""

STRUT = "strut"
FAMILIES = {
    STRUT: ("schema", "ParameterSet"),
    "flanged_housing": ("schema_flange", "FlangedSet"),
    "let_in_housing": ("schema_let_in", "LetInSet"),
    "rudder_shoe": ("schema_shoe", "ShoeSet"),
    "shaft_hanger": ("schema_hanger", "HangerSet"),
}
"""Every kind by its word: the module of its schema, read when a file asks for it, and the group that is the whole
file. A file without `part` is that of a strut."""
_COPIED = (
    "does not know how to vary or propose the sizes of a {kind} yet; copy a shipped set (`strutwright sets` lists "
    "them), change its sizes by hand, and run `strutwright check` on it"
)
_BY_STRUCTURE = "the sizes of a let-in housing follow from its bearing and the structure that is there: "
NOT_FOR = {
    "let_in_housing": {
        "size": f"{_BY_STRUCTURE}copy a shipped set (`strutwright start FILE --like skeg-sleeve`), change them, and "
        "run `strutwright check`",
        "study": f"{_BY_STRUCTURE}change them in the file and hold two files together with `strutwright compare`",
        "benchmark": "it times candidates, and a let-in housing has none: its sizes follow from bearing and structure",
        "start": "no questions are made for a let-in housing: copy a shipped set, such as "
        "`strutwright start FILE --like skeg-sleeve`, and change it",
    },
    "rudder_shoe": {command: _COPIED.format(kind="rudder shoe") for command in ("size", "study", "benchmark", "start")},
    "shaft_hanger": {command: _COPIED.format(kind="hanger") for command in ("size", "benchmark", "start")},
}
"""By kind of part, the commands that do not take it, and what to do."""
