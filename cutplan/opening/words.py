"""Every sentence of the opening plan as a template; nothing else in this folder holds text for the fabricator."""

from __future__ import annotations

from dataclasses import dataclass

#: Template by key. Values are put in by name; lengths come ready with their unit.
TEMPLATES: dict[str, str] = {
    # titles
    "title.measure": "Measure and write down",
    "title.brace": "Put the brace on",
    "title.mark": "Mark the line",
    "title.drill": "Drill {count} holes in the waste",
    "title.drill.one": "Drill 1 hole in the waste",
    "title.window": "Open {count} windows and look",
    "title.window.one": "Open 1 window and look",
    "title.cut": "Section {section}: cut, leave {bridges}",
    "title.part": "Section {section}: part {ribs}",
    "title.drop": "Section {section}: cut {bridges}, lift it out",
    "title.dress": "Dress to the line",
    # measure
    "measure.marks": "Punch marks {marks} into the skin where the picture shows them, clear of the heat.",
    "measure.lines": "Measure the {count} distances on the datum sheet. Write each one down.",
    "measure.again": "Measure them again after tacking and after welding.",
    # brace
    "brace.job": "Tack the brace ({section}) beside the mounting face, along the line in the picture.",
    "brace.part": "Bolt the real part on. It holds the pads while the skin is open.",
    "brace.usual": "The job names no brace. Usual choice: {section}, tacked beside the face (common practice).",
    "brace.before": "It must be on before step {step}.",
    "brace.feet": "Stand it {height} off the skin on feet (common practice): the tool must pass under it.",
    "brace.covers": "Where it covers a cut, finish that cut with a saw blade from the open side.",
    "brace.stays": "It stays on until the last weld is cold.",
    # mark
    "mark.template": "Stick the opening's template on by its datum lines. Punch every hole centre through the paper.",
    "mark.line": "Scribe the line. Scribe a second line {allowance} inside it: cut to the second line.",
    "mark.line.only": "Scribe the line. Cut to it, on the inside.",
    "mark.sections": "Chalk the section numbers on the waste.",
    # drill
    "drill.all": "Drill all holes before any cut. Each one lies inside the line.",
    "drill.corner": "Corners: {holes}. They end the cuts and limit cracking.",
    "drill.tee": "Ends of the cuts across: {holes}. They take the tool's overcut.",
    "drill.entry": "Blade holes: {holes}.",
    "drill.depth": "Go no deeper than {depth} below the face. Set a stop.",
    # window
    "window.saw": "Hole saw, pilot drill ground short: {windows}. No deeper than {depth} below the face.",
    "window.look": "Look and feel behind the skin for {ribs}, pipes and cables. Write its depth down.",
    "window.stop": "If a rib lies elsewhere than drawn, stop and change the job file.",
    "window.none": "No room for a window beside rib {rib}: look through hole {hole} with a mirror or a camera.",
    # cut
    "cut.now": "Cut the bold lines: {cuts}.",
    "cut.disc": "Disc: no deeper than {depth} below the face.",
    "cut.overcut": "The slot on the face runs {runout} past where the skin is through. It stays inside the waste.",
    "cut.saw": "{tool}: {cuts}. Start at a hole.",
    "cut.plasma": "Hand plasma: {cuts}. Pierce in the waste. The jet goes on behind: nothing may be there.",
    "cut.rib": "Over {ribs} no deeper than {depth}: touch, do not part yet.",
    "cut.leave": "Stop at {bridges}. Leave {width} of metal there.",
    "cut.last": "Leave {bridges} uncut for now: it is too short for a bridge and goes last.",
    # part
    "part.disc": "Part rib {rib} with the disc, {depth} below the face, at the cross in the picture.",
    "part.blade": "Part rib {rib} with a hacksaw blade at the cross, {depth} below the face.",
    "part.blade.unknown": "Part rib {rib} with a hacksaw blade at the cross. Depth: as found through the window.",
    "part.along": "Rib {rib} runs to the wall behind: saw along it just under the skin.",
    "part.check": "Push on the section: only the bridges hold it now.",
    # drop
    "drop.hold": "Hold the section with a magnet or a clamp. It weighs {mass}.",
    "drop.bridges": "Cut {bridges}, then lift the section out.",
    "drop.look": "Look behind the next section before you cut it.",
    "drop.spring": "If the gap closes or opens while you cut, stop: the brace does not hold.",
    # dress
    "dress.file": "Grind and file the {allowance} left down to the line. Try the plate in.",
    "dress.corners": "File square corners out to the line last.",
    "dress.none": "Take the burr off. Try the plate in.",
    "dress.ribs": "Clean the ends of {ribs}: they are joined to the plate again.",
    "dress.measure": "Measure the datum distances again before you tack.",
    # what holds what
    "hold.bridges": "Section {section} hangs on {bridges}.",
    "hold.ribs": "Section {section} still hangs on {ribs}.",
    "hold.free": "Section {section} is free after this step.",
    "hold.rest": "Still joined to the skin: section {sections}.",
    "hold.rest.many": "Still joined to the skin: sections {sections}.",
    "hold.all": "Nothing is cut yet.",
    "hold.open": "All sections are out. The brace holds the pads.",
    # brace line of the plan
    "brace.text.job": "Brace: {section}.",
    "brace.text.usual": "Brace: none in the job; {section} is the usual choice (common practice).",
    "brace.text.part": "Brace: the real part bolted on.",
    # notes in opening.dxf
    "file.title": "{title}: opening in the skin",
    "file.net": "Units mm, 1:1. The opening line is net: cut inside it, dress to it.",
    "file.allowance": "Hand cut: leave {allowance}, kerf {kerf} inside that.",
    # words
    "word.bridge": "bridge {names}",
    "word.bridges": "bridges {names}",
    "word.rib": "rib {names}",
    "word.ribs": "ribs {names}",
    "word.run": "{first} to {last}",
    "word.none": "no bridge",
    "word.tube": "{size} square tube, wall {wall}",
    "word.bar": "{size} x {wall} flat bar",
    "word.angle": "{size} angle, {wall} thick",
    "word.part": "the real part",
    "figure.key": "Red: do it now. Green: leave standing. Yellow: this section. Hatched: out. Blue broken line: rib.",
    "figure.out": "OUT",
    "figure.lift": "LIFT OUT",
    "figure.brace": "BRACE",
    "figure.dress": "DRESS TO THE LINE",
    "figure.known": "rib {name}, {depth} deep",
    "figure.known.free": "rib {name}, not joined",
    "figure.suspected": "rib {name}: suspected",
    "figure.unknown": "rib {name}: unknown",
}


@dataclass(frozen=True, slots=True)
class Sentence:
    """A template's key and its values; ``text`` puts them together."""

    key: str
    values: tuple[tuple[str, str], ...] = ()

    @property
    def text(self) -> str:
        """The sentence in plain words."""
        return TEMPLATES[self.key].format_map(dict(self.values))


def say(key: str, **values: str) -> Sentence:
    """Return a sentence; an unknown key or a value that the template does not name raises KeyError at once."""
    template = TEMPLATES[key]
    for name in values:
        if "{" + name + "}" not in template:
            raise KeyError(f"{key} has no {name}")
    sentence = Sentence(key, tuple(values.items()))
    _ = sentence.text
    return sentence


def listed(names: list[str] | tuple[str, ...]) -> str:
    """Return names joined for reading: ``D1, D2 and D3``."""
    if len(names) <= 1:
        return "".join(names)
    return ", ".join(names[:-1]) + " and " + names[-1]


def numbered_list(names: list[str] | tuple[str, ...]) -> str:
    """Return names such as C3, C4, C5, C8 joined with runs of three and more shortened: ``C3 to C5 and C8``."""
    groups: list[list[str]] = []
    for name in names:
        last = groups[-1][-1] if groups else ""
        counted = last[:1] == name[:1] and last[1:].isdigit() and name[1:].isdigit()
        if counted and int(name[1:]) == int(last[1:]) + 1:
            groups[-1].append(name)
        else:
            groups.append([name])
    shown: list[str] = []
    for g in groups:
        shown += [say("word.run", first=g[0], last=g[-1]).text] if len(g) > 2 else g
    return listed(shown)
