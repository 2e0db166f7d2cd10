"""The set screws that hold the bearing: their thread and their places."""

from __future__ import annotations

from strutwright.models import rules
from strutwright.models.resolve.barrel import station_mm
from strutwright.models.resolve.book import Book
from strutwright.models.spec import Barrel, Bearing, SetScrew
from strutwright.params import schema, tables
from strutwright.params.tables import Thread
from strutwright.params.words import fine_mm, say


def screw_thread_of(book: Book) -> Thread:
    """Return the thread of the set screws; a stand-in where the file's own is not in the tables.

    >>> screw_thread_of(book("canal-tender")).designation  # for a shaft of 20
    'M6x1'
    """
    usual = rules.screw_thread(book.said.shaft.diameter, inch=book.inch)
    name = book.take("set_screws.thread", usual, "usual size for the shaft; common practice", "")
    return book.table("set_screws.thread", "threads", tables.thread, name) or tables.thread("M8")


def set_screws_of(
    book: Book, barrel: Barrel | None, bearings: tuple[Bearing, ...] | None, thread: Thread
) -> tuple[SetScrew, ...]:
    """Return the set screws. Raises MissingPartError without a barrel and bearings to go by.

    >>> strut = shipped("sloop-with-skeg")
    >>> screws = set_screws_of(book("sloop-with-skeg"), strut.barrel, strut.bearings, tables.thread("1/4-20"))
    >>> [screw.clock_deg for screw in screws]
    [120.0, 120.0, -60.0]
    """
    barrel, bearings, said = book.need(barrel), book.need(bearings), book.said.set_screws
    screws = []
    for n, place in enumerate(_usual_places(book, bearings) if said.positions is None else said.positions):
        at = f"set_screws.positions[{n}]"
        if place.bearing > len(bearings):
            allowed = f"1 to {len(bearings)}"
            advice = "name a bearing of this barrel"
            book.fault(f"{at}.bearing", "is not there", advice, given=str(place.bearing), allowed=allowed)
            continue
        bearing = bearings[place.bearing - 1]
        rule = say("{distance} in from {end}", distance=fine_mm(place.distance), end=place.end.replace("_", " "))
        station = station_mm(place.end, place.distance, barrel.length_mm, bearing)
        book.derived(f"{at}.station", station, rule)
        if said.positions is None:
            book.derived(f"{at}.clock", place.clock, "first land from the side downward", "deg")
        share = rules.dimple_share(book.limits)
        deep = "half the shell" if share == 0.5 else f"{share:g} of the shell"
        depth = book.take("set_screws.dimple_depth", rules.dimple_mm(bearing.shell_mm, book.limits), deep)
        screws.append(
            SetScrew(
                number=n + 1,
                station_mm=station,
                clock_deg=place.clock,
                thread=thread.designation,
                major_mm=thread.major_mm,
                pitch_mm=thread.pitch_mm,
                tap_drill_mm=thread.tap_drill_mm,
                point=said.point,
                flat_diameter_mm=said.spot_face,
                dimple_depth_mm=depth,
                bearing_index=place.bearing - 1,
            )
        )
    return tuple(screws)


def _usual_places(book: Book, bearings: tuple[Bearing, ...]) -> list[schema.ScrewPlace]:
    places = [
        schema.ScrewPlace(
            end=end,
            distance=rules.near_mm(0.25 * b.length_mm, book.half_mm),
            clock=rules.land_at_side_deg(b.flute_count, b.flute_clock_deg),
            bearing=i + 1,
        )
        for i, b in enumerate(bearings)
        for end in ("bearing_aft", "bearing_forward")
    ]
    rule = "a quarter of the bearing in from each of its ends, at the side or the next land below it; common practice"
    book.derived("set_screws.positions", f"{len(places)} screws", rule, "")
    return places
