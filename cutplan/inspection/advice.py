"""What the measurements imply: what to do next, with the caution that belongs to it."""

from __future__ import annotations

from collections.abc import Sequence

from cutplan.inspection.judge import Checked, needs_other_settings
from cutplan.pattern.job import Job
from cutplan.sheets.results import Results
from cutplan.texts.by_id import told
from cutplan.units import format_length

#: Share of the plate's thickness that may be ground off a pad without asking its designer (common practice, no source).
GRIND_SHARE = 0.05


def advice_of(
    job: Job, plan: Results | None, checked: Sequence[Checked], missing: Sequence[str], doubtful: bool, lang: str = "en"
) -> tuple[str, ...]:
    """Return the next steps, most urgent first; never empty."""
    said: list[str] = []
    gaps = [c for c in checked if c.kind == "gap" and not c.ok]
    wide, tight = [c for c in gaps if c.deviation_mm > 0.0], [c for c in gaps if c.deviation_mm < 0.0]
    if wide:
        most = max(c.measured_mm for c in wide)
        key = "advice.gap_wide" if job.joint.kind == "butt" else "advice.lap_open"
        said.append(told(key, lang, where=_names(wide), most=format_length(most, job.shown.display)))
    if tight:
        said.append(
            told(
                "advice.gap_tight", lang, where=_names(tight), wanted=format_length(job.joint.gap_mm, job.shown.display)
            )
        )
    other = [c for c in checked if needs_other_settings(plan, c)]
    if other and plan is not None and plan.weld is not None:
        most = max(plan.weld.settings.table.gap_mm[1], job.joint.gap_mm)  # what is above either
        widest = format_length(most, job.shown.display)
        said.append(told("advice.gap_settings", lang, where=_names(other), widest=widest))
    pads = [c for c in checked if c.kind == "flatness" and not c.ok]
    if pads:
        worst = max(c.measured_mm for c in pads)
        grind = GRIND_SHARE * job.plate.thickness_mm
        key = "advice.pad_grind" if worst <= grind else "advice.pad_out"
        said.append(
            told(
                key,
                lang,
                where=_names(pads),
                worst=format_length(worst, job.shown.display, 2),
                most=format_length(grind, job.shown.display, 2),
            )
        )
        said.append(told("advice.heat_caution", lang))
    lengths = [c for c in checked if c.kind == "length" and not c.ok]
    if lengths:
        short = sum(1 for c in lengths if c.deviation_mm < 0.0)
        key = "advice.pitch_short" if 2 * short > len(lengths) else "advice.pitch_long"
        said.append(told(key, lang, where=_names(lengths)))
    if doubtful:
        said.append(told("advice.again", lang))
    if missing:
        shown = ", ".join(missing[:8]) + (" …" if len(missing) > 8 else "")
        said.append(told("advice.missing", lang, count=len(missing), which=shown))
    if not said:
        said.append(told("advice.pass", lang))
    return tuple(said)


def _names(checked: Sequence[Checked]) -> str:
    return ", ".join(str(c.label) for c in checked[:8]) + (" …" if len(checked) > 8 else "")
