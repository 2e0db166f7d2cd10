"""What can still be done with a part of which a size is out: never what would put metal back where it is gone.

Common practice, no source; the shop, and for what carries load a surveyor or a licensed engineer, choose among them.
"""

from __future__ import annotations

from typing import Literal

Side = Literal["over", "under", "wrong"]
"""Above the upper limit, below the lower one, or not as demanded in words."""

_SCRAP = "scrap the part and make it new, where none of these stands the checks"
_SLEEVE = "bore on and fit a sleeve, pressed and locked, if the wall that is left stands the check"
_NEXT = "bore on to the next larger bearing outside, if the wall that is left stands the check"
_REBORE = (
    "weld up by a qualified procedure and bore again, where the metal can be welded; "
    "then straighten and measure the whole part again"
)
_ANGLE = (
    "machine the hull face to its angle, if the thickness that is left stands the check",
    "fit a tapered shim that neither crushes nor rots, bedded, no thicker than the bedding takes",
    "cut the palm off, weld it on anew in the jig; then bore, straighten and measure again (welded strut)",
    _SCRAP,
)
_PLACE = (
    "use it where the checks of bolts and palm stand, and drill the hull from this palm, barrel on the shaft's line",
    "cut the palm off, weld it on anew in the jig; then bore, straighten and measure again (welded strut)",
    _SCRAP,
)
_HEEL = (
    "use it where the stock can be brought to it: hang the rudder by the heel's bore as it lies, and run `rudder`",
    "bore the heel on a new centre for a bush with a larger outside, if the boss's wall stands the check",
    _SCRAP,
)
_WAYS: dict[tuple[str, str, Side], tuple[str, ...]] = {
    ("bore", "gauged", "over"): (
        _SLEEVE,
        _NEXT,
        "have a bearing made with its shell to the measured bore",
        _REBORE,
        _SCRAP,
    ),
    ("bore", "gauged", "under"): ("bore, ream or hone on to size in the same set-up",),
    ("bore", "cylindricity", "over"): (
        "bore on in the same set-up, as far as the upper limit allows",
        _SLEEVE,
        _NEXT,
        _SCRAP,
    ),
    ("bore", "coaxiality", "over"): ("bore both in one set-up to the next larger sizes", _SLEEVE, _SCRAP),
    ("bearing", "outside", "over"): ("try another bearing of the lot", "bore on to this bearing, by its measured size"),
    ("bearing", "outside", "under"): (
        "try another bearing of the lot",
        "bed it in with set screws as a hand slide fit, if the checks of that fit stand",
    ),
    ("bearing", "interference", "over"): (
        "bore or hone on to this bearing",
        "try another bearing of the lot",
        "chill the bearing, if its bore still clears the shaft once in place",
    ),
    ("bearing", "interference", "under"): (
        "try another bearing of the lot",
        "hold it by set screws as a hand slide fit, if the checks of that fit stand",
        _SLEEVE,
        _NEXT,
    ),
    ("barrel", "length", "over"): ("face it off to length",),
    ("barrel", "length", "under"): ("use it where the checks stand and the bearing still seats", _SCRAP),
    ("barrel", "outside", "over"): ("turn it down, or use it where nothing is in the way",),
    ("barrel", "outside", "under"): ("use it where the checks of the wall stand", _REBORE, _SCRAP),
    ("barrel", "wall", "under"): ("use it where the checks of the wall stand", _REBORE, _SCRAP),
    ("barrel", "coaxiality", "over"): ("use it where the least wall stands the check", "turn the outside true", _SCRAP),
    ("palm", "height", "over"): (
        "machine the hull face back, if the thickness that is left stands the check",
        "let the palm into a pad or the hull by the difference, where its structure allows it",
        _SCRAP,
    ),
    ("palm", "height", "under"): ("fit a shim as thick as the difference, that neither crushes nor rots", _SCRAP),
    **{("palm", f"zero_{way}", side): _PLACE for way in ("forward", "port") for side in ("over", "under")},
    **{("heel", way, side): _HEEL for way in ("abaft", "below", "port") for side in ("over", "under")},
    ("palm", "pitch", "over"): _ANGLE,
    ("palm", "pitch", "under"): _ANGLE,
    ("palm", "tilt", "over"): _ANGLE,
    ("palm", "tilt", "under"): _ANGLE,
    ("palm", "true", "over"): _ANGLE,
    ("palm", "true", "under"): _ANGLE,
    ("palm", "skew", "over"): _ANGLE,
    ("palm", "skew", "under"): _ANGLE,
    ("palm", "flatness", "over"): (
        "press it flat within the limits of its metal (welded strut; never a cast one)",
        "machine the hull face, if the thickness that is left stands the check",
        "bed it, no thicker than the bedding takes",
    ),
    ("palm", "thickness", "over"): ("machine the hull face, its angle kept", "use it with longer bolts"),
    ("palm", "thickness", "under"): (
        "use it where the checks of palm and bolts stand",
        "fit more or larger bolts, where the outline takes them and the checks stand",
        _SCRAP,
    ),
    ("palm", "holes", "over"): (
        "fit the next larger bolt, its head and edge distances checked",
        "bush the hole, or plug it, weld it up where the metal allows and drill again",
    ),
    ("palm", "holes", "under"): ("drill to size",),
    ("palm", "heads", "over"): (
        "use it where the depth that is left under the head stands the check, and fill over the heads",
        "fit the next larger bolt, its head and edge distances checked",
    ),
    ("palm", "heads", "under"): ("cut to size, with the bolt tried in it",),
    ("palm", "flush", "over"): ("cut the recess deeper, if the palm that is left under the head stands the check",),
    ("palm", "hole", "over"): (
        "drill the hull from this palm and keep the two together",
        "open the hole to the next series of clearance holes, if the head still bears all round",
        "plug it, weld it up where the metal allows, and drill again",
    ),
    ("screw", "dimple", "over"): ("drill a new place for the screw and leave this one empty, sealed",),
    ("screw", "dimple", "under"): ("spot it deeper, with a stop",),
    ("heel", "bore", "over"): (
        "fit a bush with a larger outside, or a sleeve, if the boss's wall stands the check",
        _SCRAP,
    ),
    ("heel", "bore", "under"): ("bore or ream on to size",),
    ("whole", "sound", "wrong"): (
        "mark the place, find how deep it goes, and ask a surveyor or licensed engineer before any repair",
        "gouge out, weld by a qualified procedure and test again, where the metal and the place allow it",
        _SCRAP,
    ),
    ("whole", "test_bar", "wrong"): (
        "find out whether bore, bearing or fit is at fault; never ream the rubber",
        "bore the seat on to the bearing, so that the rubber closes less",
    ),
    ("hand", "", "wrong"): ("it is the other hand's part: do not fit it; keep it for that side or make it new",),
}
_ANY: dict[Side, tuple[str, ...]] = {
    "over": ("measure again, then ask who designed it whether it can stay",),
    "under": ("measure again, then ask who designed it whether it can stay",),
    "wrong": ("look again, then ask who designed it whether it can stay",),
}


def ways_out(code: str, side: Side) -> tuple[str, ...]:
    """Return what can be done about a characteristic that is out, by its code, the least first.

    >>> ways_out("bore1.gauged.aft.athwart", "under")
    ('bore, ream or hone on to size in the same set-up',)
    """
    group, _, name = code.partition(".")
    kind, first = group.rstrip("0123456789"), name.partition(".")[0].rstrip("0123456789")
    return _WAYS.get((kind, first, side), _ANY[side])
