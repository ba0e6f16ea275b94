"""What is said of a path that fails its proof: an error with its place, so that no file is written."""

from __future__ import annotations

from cutplan.cutting.result import Fault, Proof
from cutplan.findings import Finding
from cutplan.tables.at_most import at_most
from cutplan.texts import Message, mm, name, place, plural, say, together

#: Faults told one by one.
TOLD = 5


def proof_text(proof: Proof) -> Message:
    """Return what the proof of a path showed, in one line."""
    if not proof.proved:
        return say("the path is NOT proved: do not cut it")
    proved = say(
        "proved against the part before it was written: deepest bite {bite}, thickest metal left {rest}",
        bite=at_most(proof.bite_mm),
        rest=at_most(proof.rest_mm),
    )
    if proof.corner_mm < 0.005:
        return proved
    corners = say("{corner} in corners that the kerf cannot reach", corner=mm(proof.corner_mm, 2))
    return together(proved, corners, sep=", ")


def fault_findings(proof: Proof) -> tuple[Finding, ...]:
    """Return one error for each of the worst faults of a proof, and how many more there are."""
    worst = sorted(proof.faults, key=lambda f: (-f.size_mm, f.kind, f.name))
    findings = [
        Finding(
            f"path-{fault.kind}",
            "error",
            _said(fault),
            say("{place}", place=place(fault.at.x, fault.at.y, 3)),
            say("no file is written; cut the net file on a table that compensates its own kerf, and report this job"),
        )
        for fault in worst[:TOLD]
    ]
    if len(worst) > TOLD:
        findings.append(
            Finding(
                "path-fails",
                "error",
                plural(
                    "the path fails in {count} more place", "the path fails in {count} more places", len(worst) - TOLD
                ),
            )
        )
    return tuple(findings)


def _said(fault: Fault) -> Message:
    cut, size = name(fault.name), mm(fault.size_mm, 3)
    if fault.kind == "bite":
        return say("the path of {cut} cuts {size} into the part", cut=cut, size=size)
    if fault.kind == "rest":
        return say("the path of {cut} leaves {size} of metal on the part", cut=cut, size=size)
    if fault.kind == "inside":
        return say("the path of {cut} starts on the part itself", cut=cut)
    if fault.kind == "edge":
        return say("the path of {cut} runs {size} over the edge of the sheet", cut=cut, size=size)
    return say("the path of {cut} has a gap of {size}", cut=cut, size=size)
