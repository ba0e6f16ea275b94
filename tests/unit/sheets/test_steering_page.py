"""The steering in sheet and report: one page in each language, and a slider that says what it shows."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from cutplan.drawing.model import Text
from cutplan.files.job.read import read_job
from cutplan.pattern.shop import Shop
from cutplan.project.steering import steering
from cutplan.report.steering import steering_section, steering_steps
from cutplan.sheets.page import Builder
from cutplan.sheets.results import Results
from cutplan.sheets.steering_page import steering_page

FOLDER = Path(__file__).resolve().parents[3] / "sample_parts" / "pickup-gear-plate"


@cache
def followed() -> Results:
    job = read_job(FOLDER)
    return Results(job, Shop(), steering=steering(job, FOLDER))


@pytest.mark.parametrize("display", ["mm", "in"])
@pytest.mark.parametrize(
    "lang, caution", [("en", "Steering is safety critical"), ("de", "Die Lenkung ist sicherheits")]
)
def test_one_page_with_both_pictures_figures_and_all_cautions(lang: str, caution: str, display: str) -> None:
    results = followed()
    shown = replace(results, job=replace(results.job, shown=replace(results.job.shown, display=display)))  # type: ignore[arg-type]
    b = Builder(shown.job, Shop(), lang)
    steering_page(b, shown)
    pages = b.pages()
    words = " ".join(i.text for p in pages for i in p.items if isinstance(i, Text))
    assert len(pages) == 1
    assert caution in words and words.count("–") >= 6 and "±" in words
    assert {i.tag for i in pages[0].items} >= {"ahead", "lock", "gear-now", "axle"}


def test_a_job_that_follows_no_study_has_no_page() -> None:
    results = replace(followed(), steering=None)
    b = Builder(results.job, Shop(), "en")
    steering_page(b, results)
    assert b.pages() == () and steering_section(results, "en") == [] and steering_steps(results, "en") == []


def test_the_slider_has_a_step_for_each_travel_and_says_where_the_gear_now_is_over_centre() -> None:
    steps = steering_steps(followed(), "en")
    assert len(steps) == 25
    assert steps[12].startswith("Gear 0.0 mm") and "left wheel 0.0°, right wheel 0.0°" in steps[12]
    assert "Now: cannot be reached, over centre" in steps[0] and "Now: cannot be reached" in steps[24]
    section = "".join(steering_section(followed(), "en"))
    assert section.count('class="turn turn-12"') > 10
    assert "turn-0" not in section.split('id="steering-moved-figure"')[0]  # the gear where it is never gets there
    assert "turn-0" in section


def test_a_wish_given_up_is_a_warning_and_a_study_that_is_not_there_is_said() -> None:
    from cutplan.errors import JobError

    job = followed().job
    assert job.origin.moved is not None
    placed = steering(
        replace(job, origin=replace(job.origin, moved=replace(job.origin.moved, shift_mm=(35.0, 0.0, 30.0)))), FOLDER
    )
    assert placed is not None
    missed = [f for f in placed.findings if f.code == "place-wish-missed"]
    assert missed and all(f.severity == "warning" for f in missed)
    with pytest.raises(JobError):
        steering(replace(job, origin=replace(job.origin, moved=replace(job.origin.moved, study="none.toml"))), FOLDER)
