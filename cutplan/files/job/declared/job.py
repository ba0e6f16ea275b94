"""The whole job file: the keys at its top, and its tables in the order of a new file."""

from __future__ import annotations

from cutplan.files.job.declared.cutting import CUTTING
from cutplan.files.job.declared.joint import JOINT
from cutplan.files.job.declared.key import Key, Offer, choice, table, text
from cutplan.files.job.declared.moved import MOVED
from cutplan.files.job.declared.opening import OPENING
from cutplan.files.job.declared.pads import BRACE, PAD
from cutplan.files.job.declared.paper import MARKS, PAPER
from cutplan.files.job.declared.plate import PIECE, PLATE
from cutplan.files.job.declared.shapes import FLANGE, TUBE
from cutplan.files.job.declared.skin import SKIN
from cutplan.files.job.declared.survey import SURVEY
from cutplan.files.job.declared.traced import TRACED
from cutplan.files.job.declared.welding import WELDING
from cutplan.texts import code, say
from cutplan.texts.catalogue import LANGUAGES

JOB = table(
    "",
    say("the job"),
    choice(
        "units",
        say("unit of every length that does not carry its own"),
        ("mm", "in"),
        need=say("write {this} or {that}", this=code('units = "mm"'), that=code('units = "in"')),
        offer=Offer("mm", "in"),
    ),
    text("title", say("what is made"), 120, need=say("say in a few words what is made"), offer=Offer("")),
    text("revision", say("revision of the job, printed as it stands"), 20, "A", offer=Offer("A")),
    Key(
        "date",
        "date",
        say("printed as it stands, such as {this}; never from the clock", this=code('"2026-03-14"')),
        "",
        most=30,
        offer=Offer(""),
    ),
    text("area", say("which part of the vehicle"), 120, offer=Offer("")),
    text("note", say("printed on the sheet"), 300),
    choice(
        "display",
        say("unit in which lengths are shown to people"),
        ("mm", "in"),
        usual=say("as {this}", this=code("units")),
    ),
    choice(
        "language",
        say("language of sheets and report; {file} stays English", file=code("summary.json")),
        tuple(LANGUAGES),
        "en",
    ),
    choice("weld_symbols", say("weld symbols by ISO 2553 or AWS A2.4"), ("ISO", "AWS"), "ISO", field="symbols"),
    PLATE,
    SURVEY,
    TRACED,
    MOVED,
    JOINT,
    SKIN,
    PAD,
    BRACE,
    CUTTING,
    OPENING,
    WELDING,
    PAPER,
    MARKS,
    PIECE,
    TUBE,
    FLANGE,
)
