"""English texts by id; the base that every other language is held to."""

from __future__ import annotations

WORDS: dict[str, str] = {
    # form of measurements
    "form.gap": "gap after tacking, before welding",
    "form.pitch": "hole to hole, middle to middle",
    "form.pads": "pad to pad, middle to middle",
    "form.diagonal": "diagonal, corner to corner",
    "form.dial": "dial height, places counted from the front, counter-clockwise",
    "form.feeler": "feeler under a straight-edge laid across both pads",
    # inspection
    "inspect.dial": "pad {pad}, {count} dial heights",
    "inspect.misfit": "{label} does not fit the other distances by {off:.1f} mm",
    "inspect.rivals": "(or one of {which} is wrong: these readings alone cannot tell; this one is farthest from the plan)",
    "inspect.again": "measure it again",
    "inspect.twice": "{label} was measured before, in line {line}, with another value",
    "inspect.same": "{label} was measured twice; the first value is used",
    "inspect.slip": "{label} is off by {off:.1f} mm from the planned {plan:.1f} mm: a slip, not a distortion.{why}",
    "inspect.why_unit": "Inch and millimetre may have been mixed.",
    "inspect.why_tape": "The tape may have been started or read {size} off.",
    "inspect.dial_wild": "{label} reads {value:.2f} mm, too much for a pad out of flat",
    "inspect.gap_wild": "{label} reads {value:.1f} mm, too wide for a gap that was fitted",
    "inspect.few": "pad {pad} has only {count} dial readings; a plane needs three and a check one more",
    "inspect.few_fix": "read at least four places, better all six",
    "inspect.half": "{label} has no {other} with it",
    "advice.gap_wide": "Gap too wide at {where} (up to {most}). Do not weld it as planned: close it by moving the plate, "
    "or lower current, short runs from the thicker edge, copper behind. If it stays wide, make a new plate.",
    "advice.lap_open": "Sheets stand apart at {where} (up to {most}). Clamp or knock them together before welding.",
    "advice.gap_tight": "Gap closed at {where}. Open it to {wanted} with a thin disc before welding: there will be no "
    "penetration otherwise.",
    "advice.pad_grind": "Out of flat at {where} by {worst}. Grinding is possible: take off no more than {most} of thickness.",
    "advice.pad_out": "Out of flat at {where} by {worst}. More than {most} may not be ground off: use shims of hardened "
    "plate, or heat spots on the high side, or have it machined.",
    "advice.heat_caution": "Heat straightening: only on plain steel, below a dull red, no zinc, no fuel, wiring or seam "
    "sealer near, let it cool by itself, then measure again.",
    "advice.pitch_short": "Distances came out short at {where}: the welds drew the holes together. Ream only with the "
    "agreement of who bolts it on; slot no locating hole.",
    "advice.pitch_long": "Distances came out long at {where}. Check the tape and the fit-up readings before anything is reworked.",
    "advice.again": "Take the doubtful readings again before anyone decides on them.",
    "advice.missing": "{count} readings are missing: {which}.",
    "advice.pass": "Everything measured keeps its limit. File this page with the job.",
}
