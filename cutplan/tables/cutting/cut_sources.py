"""Where the cutting facts come from: one key per source, how it was seen, and the citation."""

from __future__ import annotations

from cutplan.tables.welding.weld_sources import Source
from cutplan.texts import Message, say, together

SOURCES: dict[str, Source] = {
    "iso9013": Source("second hand", say("ISO 9013:2017 thermal cutting, ranges as quoted in public code")),
    "iso9013-limits": Source("read", "modulusmetal.com, ISO 9013 thermal cutting dimensional tolerances"),
    "iso9013-scope": Source("read", "ISO 9013:2017 abstract, standards.iteh.ai"),
    "iso9013-reach": Source("memory", say("ISO 9013: limits hold for length:width up to 4:1 and contours from 350 mm")),
    "iso9013-process": Source("memory", say("ranges usually reached by each process")),
    "course-kerf": Source("read", "protolab.certifitrax.com, training course slide U5M2-003"),
    "measured-kerf": Source("read", "Hindawi AMSE 2023, article 1189042, Table 5: S235, 110-130 A, 27 runs"),
    "jobshop": Source("read", "fineedgeindustries.com, plasma buyer education"),
    "service": Source("read", "newayprecision.com, plasma cutting service guide"),
    "chart-memory": Source("memory", say("air plasma cut charts, round figures")),
    "kerf-memory": Source("memory", say("typical kerf by process")),
    "speed-memory": Source("memory", say("cutting speeds by process, round figures")),
    "rated-current": Source("read", "millerwelds.com, plasma basics: hand torch at 10 in/min"),
    "iso273": Source("read", "engineeringhardware.com, table of ISO 273 clearance holes"),
    "en1993-1-8": Source("second hand", "EN 1993-1-8 Table 3.3, as reproduced at yumpu 18726523 and scribd 678160989"),
    "vsb6": Source("read", "summary of VSB6 section H, scribd 678979653: holes drilled, not flame cut"),
    "hole-memory": Source("memory", say("trade practice for cut holes: smallest size, speed, overburn")),
    "lead-memory": Source("memory", say("trade practice for leads: length, clearance, lead-out")),
    "direction": Source("read", "power source manuals, esmanual.top Cutmaster-60 p. 79, and course slide U5M2-003"),
    "en1090-corner": Source("memory", say("EN 1090-2 clause 6.7, re-entrant corners")),
    "pilot-practice": Source("own", say("pilot drill a little over the web of the next drill")),
    "own": Source("own", say("chosen here, no source")),
}


def source_text(*keys: str) -> Message:
    """Return the citations of one or more keys with the way they were seen, joined for print."""
    return together(*(SOURCES[key].text for key in keys), sep="; ")
