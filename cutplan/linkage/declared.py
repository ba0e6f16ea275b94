"""Every key of a study file, once: reading, hints and the reference page come from here."""

from __future__ import annotations

from cutplan.files.job.declared.key import FARTHEST_MM, Key, choice, count, figure, length, table, text
from cutplan.linkage.study import FIGURES, READING_MM, Range
from cutplan.linkage.wording import LABELS
from cutplan.texts import Message, code, say
from cutplan.texts.catalogue import LANGUAGES

#: Standard errors accepted [mm]: none is no reading.
ERROR_MM = (0.01, 100.0)
_FAR = (-FARTHEST_MM, FARTHEST_MM)
_NEEDED = say("a point in vehicle axes: [forward, left, up]")
_BY_ANGLES = say("by {this} and {that}", this=code("caster_deg"), that=code("inclination_deg"))
_STRUT = say("none: a strut")


def _point(name: str, help: Message, usual: Message | None = None) -> Key:
    """Return a key that takes a point in vehicle axes, by itself or with the standard errors of its reading [mm]."""
    at = Key("at", "lengths", say("its place: forward, left, up"), (), _FAR)
    error = Key("error", "lengths", say("its standard error: one length or three"), None, ERROR_MM)
    return Key(name, "reading", help, need=_NEEDED, usual=usual, keys=(at, error))


def _wish(name: str, unit: str) -> Key:
    """Return a key that limits a figure in its unit [mm, deg or %]."""
    ends = (("at_least", say("no less than this")), ("at_most", say("no more than this")))
    if unit == "mm":
        limits = tuple(length(key, help) for key, help in ends)
    else:
        limits = tuple(figure(key, help, unit, -1e4, 1e4) for key, help in ends)
    return Key(name, "inline", LABELS[name], keys=limits)


_SIDE = (
    _point("low", say("low point of the steering axis: the lower ball joint")),
    _point("high", say("high point of the steering axis: the upper ball joint or the strut's top mount"), _BY_ANGLES),
    figure("caster_deg", say("caster, in place of the high point"), "deg", -30.0, 40.0, 0.0),
    figure("inclination_deg", say("inclination of the axis, in place of the high point"), "deg", -30.0, 40.0, 0.0),
    figure("angle_error_deg", say("standard error of these angles"), "deg", 0.01, 10.0, 0.5),
    _point("outer", say("centre of the tie rod's joint at the arm, with the arms that will be fitted")),
    _point("inner", say("centre of the tie rod's joint at the gear, where the gear is now")),
    _point("wheel", say("middle of the tyre on the road")),
    table(
        "arms",
        say("pivots of the control arms, for the toe change over wheel travel"),
        _point("lower_front", say("front pivot of the lower arm")),
        _point("lower_rear", say("rear pivot of the lower arm")),
        _point("upper_front", say("front pivot of the upper arm"), _STRUT),
        _point("upper_rear", say("rear pivot of the upper arm"), _STRUT),
        _point("strut", say("a second point of the strut's line"), say("along the steering axis")),
    ),
)

STUDY = table(
    "",
    say("the study"),
    choice(
        "units",
        say("unit of every length that does not carry its own"),
        ("mm", "in"),
        need=say("write {this} or {that}", this=code('units = "mm"'), that=code('units = "in"')),
    ),
    text("title", say("what is studied"), 120, usual=say("the file's name")),
    choice("language", say("language of the answer"), tuple(LANGUAGES), "en"),
    length("reading_error", say("standard error of one coordinate"), READING_MM, *ERROR_MM),
    table(
        "vehicle",
        say("the vehicle"),
        length("wheelbase", say("distance of the axles"), None, 1.0, need=say("the distance of the axles")),
        length("wheelbase_error", say("its standard error"), None, *ERROR_MM, usual=say("three times that of a point")),
        figure("camber_deg", say("camber of the wheels, above zero with their tops outward"), "deg", -10.0, 10.0, 0.0),
    ),
    table("left", say("the points of the left side"), *_SIDE),
    table("right", say("the points of the right side; none: the mirror image of the left"), *_SIDE),
    table(
        "gear",
        say("the steering gear"),
        Key(
            "travel",
            "lengths",
            say("travel each way from the middle: one length, or right and left"),
            None,
            (1.0, FARTHEST_MM),
            need=say("how far the gear moves each way from the middle"),
        ),
        length("per_turn", say("travel for one turn of the steering wheel"), None, 1.0),
    ),
    table(
        "wheel_travel",
        say("travel of the wheel over which toe is followed"),
        length("down", say("downward"), 50.0, 1.0),
        length("up", say("upward"), 50.0, 1.0),
    ),
    table(
        "wish", say("limits that a place must keep; none: three careful ones"), *map(_wish, FIGURES, FIGURES.values())
    ),
    table(
        "map",
        say("places of the gear that the map shows"),
        Key("forward", "lengths", say("shift forward, from and to"), (), (-1000.0, 1000.0), usual=say("-40 to 40 mm")),
        Key("up", "lengths", say("shift up, from and to"), (), (-1000.0, 1000.0), usual=say("-40 to 40 mm")),
        count("count", say("places each way"), Range().count, 11, 301),
    ),
)
