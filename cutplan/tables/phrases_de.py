"""German for the sentences that the trades write: English pattern to German text."""

from __future__ import annotations

#: What joins names and the ends of a range: ``B1 and B2``, ``C5 to C8``.
AND, TO = "und", "bis"

PHRASES: dict[str, str] = {
    # hand tools
    "cut-off disc": "Trennscheibe",
    "hand plasma": "Handplasma",
    "jigsaw": "Stichsäge",
    "hacksaw": "Handsäge",
    # drawing
    "the header says {a}: {b} over all": "der Kopf der Zeichnung sagt {a}: {b} über alles",
    "the unit was stated: {a}: {b} over all": "die Einheit wurde angegeben: {a}: {b} über alles",
    "millimetre": "Millimeter",
    "inch": "Zoll",
    "left aside, not part of the plate: {a}": "beiseite gelassen, nicht Teil der Platte: {a}",
    "{a} x dashed or centre line": "{a} × Strich- oder Mittellinie",
    "{a} x text": "{a} × Text",
    # templates
    "{a}: no room for all its words or arrows": "{a}: kein Platz für alle Worte oder Pfeile",
    "the title of its sheet names it; write the rest by hand": "der Titel des Blatts nennt es; den Rest von Hand schreiben",
    "no room for a label at {a} holes": "an {a} Löchern kein Platz für die Beschriftung",
    "read their names in the job sheet": "ihre Namen stehen im Arbeitsblatt",
    # words that several trades share
    "start": "Anfang",
    "drill": "bohren",
    "hole saw": "Lochsäge",
    "outline": "Außenlinie",
    # citations
    "second hand": "aus zweiter Hand",
    "from memory": "aus dem Gedächtnis",
    "our own": "eigene",
}
