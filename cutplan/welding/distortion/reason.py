"""Why the chosen order is better, in one sentence, from what each kind of shrinkage does in it."""

from __future__ import annotations

import numpy as np

from cutplan.welding.distortion.model.condensed import MIDDLE, Model
from cutplan.welding.distortion.report import Judged
from cutplan.welding.distortion.result import Robustness
from cutplan.welding.distortion.search.judge import Judge

KIND_WORDS = ("shrinkage across the joint", "pull along the beads", "folding of the beads")
#: Share of the gain that one kind must explain to be named as the reason [1].
MOST = 0.5
#: Factor, and distance, within which two orders count as the same [1], [mm]: what a straight edge and feelers can tell.
SAME, SAME_MM = 1.05, 0.01


def reason_of(model: Model, judge: Judge, chosen: Judged, others: list[Judged], robust: Robustness) -> str:
    """Return one sentence.

    Parameters
    ----------
    model : Model
        Bands of the beads.
    judge : Judge
        What is measured.
    chosen : Judged
        The chosen order.
    others : list of Judged
        Orders that people use; the first is once round.
    robust : Robustness
        How much of the choice survives the bands.
    """
    rival = min(others, key=lambda o: o.result.score)
    round_ = others[0]
    ours = chosen.result
    if max(o.result.score for o in (rival, round_)) <= SAME * ours.score + SAME_MM:
        return (
            f"The order hardly matters here: pads end {ours.flatness_mm.mid:.2f} mm out of flat, and "
            f"{round_.result.flatness_mm.mid:.2f} mm once round; look to the brace."
        )
    against = f"{round_.result.flatness_mm.mid:.2f} mm once round"
    if rival is not round_:
        against += f" and {rival.result.flatness_mm.mid:.2f} mm for {rival.result.name}"
    words = [
        f"The {ours.name} leaves the pads {ours.flatness_mm.mid:.2f} mm out of flat against {against}",
        _because(model, judge, chosen, round_),
    ]
    text = ", ".join(w for w in words if w)
    if not robust.holds:
        share = 100.0 * robust.best_or_close
        text += (
            f"; but it is best or close in only {share:.0f} % of the drawn cases, so the order hardly matters here and "
            "the brace does"
        )
    return text + "."


def _because(model: Model, judge: Judge, chosen: Judged, other: Judged) -> str:
    """The kind whose own out-of-flat falls most from one order to the other, where that explains the gain."""
    middle = model.wish[:, MIDDLE]

    def share(judged: Judged, kind: int) -> float:
        return float(judge.flatness_mm(np.asarray(judged.influence.pads[kind] @ middle[kind])))

    before = [share(other, k) for k in range(3)]
    after = [share(chosen, k) for k in range(3)]
    kind = int(np.argmax(np.subtract(before, after)))
    gain = other.result.flatness_mm.mid - chosen.result.flatness_mm.mid
    if gain < SAME_MM:
        return ""
    if before[kind] - after[kind] < MOST * gain:
        return "because what shrinkage, pull and folding do to the pads cancels there"
    return (
        f"because the {KIND_WORDS[kind]} cancels on the pads: alone it leaves {after[kind]:.2f} mm, "
        f"not {before[kind]:.2f} mm"
    )
