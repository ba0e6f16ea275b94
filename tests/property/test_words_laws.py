"""Laws of what is said of a job: every quantity has its unit, and no message contradicts another; over random jobs."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from random_jobs import random_job
from said_laws import bare_numbers, random_sheets, sheet_faults, told_twice, values, wrong_units
from sheet_results import sample, sample_names, small

from cutplan.errors import CutplanError
from cutplan.findings import Finding
from cutplan.project.planned.plans import load, plans
from cutplan.sheets.results import Results
from cutplan.texts import Message, Reader, code, mm, say
from cutplan.texts.values import Length, Number


def said(results: Results) -> list[Message]:
    """Every message of a job: findings with place and advice, steps with what holds what."""
    found: list[Message] = []
    for f in results.findings:
        found += [t for t in (f.message, f.where, f.fix) if isinstance(t, Message)]
    if results.opening is not None:
        for step in results.opening.steps:
            found += [t for t in (step.title, *step.text, *step.holds) if isinstance(t, Message)]
    return found


def contradictions(results: Results) -> list[str]:
    """What is said twice and differs, and what cannot hold together."""
    wrong = []
    # one thing is told once: same code and place, with another text or weight
    told: dict[tuple[str, str], Finding] = {}
    reader = Reader()
    for f in results.findings:
        key = (f.code, reader(f.where))
        if f.where and key in told and told[key].severity != f.severity:
            wrong.append(f"{key}: {told[key].severity} and {f.severity}")
        told.setdefault(key, f)
    # figures of the joint are those of the job, in every sentence about it
    own = {"gap": results.job.joint.gap_mm, "overlap": results.job.joint.overlap_mm}
    for f in results.findings:
        if not reader(f.where).startswith("joint") or not isinstance(f.message, Message):
            continue
        for name, value in values(f.message):
            if isinstance(value, Length) and name in own and abs(value.mm - own[name]) > 1e-6:
                wrong.append(f"{f.code}: {name} {value.mm} for {own[name]}")
    if results.opening is not None:
        wrong += steps_against_each_other(results)
    return wrong


def steps_against_each_other(results: Results) -> list[str]:
    """A section that is free holds to nothing later; the brace is on before what asks for it; numbers rise."""
    assert results.opening is not None
    wrong, free = [], set()
    steps = results.opening.steps
    if [s.number for s in steps] != list(range(1, len(steps) + 1)):
        wrong.append("steps are not numbered in their order")
    reader = Reader()
    for step in steps:
        for t in map(reader, step.holds):
            m = re.match(r"Section (\d+) (is free|hangs|still hangs)", t)
            if m and m[2] != "is free" and m[1] in free:
                wrong.append(f"step {step.number}: {t} although it fell")
            joined = re.match(r"Still joined to the skin: sections? (.*)\.", t)
            if joined:
                for n in re.findall(r"\d+", joined[1]):
                    if n in free:
                        wrong.append(f"step {step.number}: {t} although {n} fell")
            if m and m[2] == "is free":
                free.add(m[1])
        for t in map(reader, step.text):
            before = re.match(r"It must be on before step (\d+)", t)
            if before and int(before[1]) <= step.number:
                wrong.append(f"step {step.number}: {t}")
    return wrong


def judged(seed: int, folder: Path, largest_mm: float) -> tuple[list[str], int]:
    """Faults of one random job in both units, and how many messages were looked at; none where it is refused."""
    for name, data in random_job(seed, largest_mm).items():
        (folder / name).write_bytes(data)
    try:
        job, shop = load(folder / "job.toml")
        results = plans(job, shop, ("cut", "opening", "templates"), remember=False)
    except CutplanError:
        return [], 0
    messages = said(results)
    wrong = contradictions(results)
    for units in ("mm", "in"):
        reader = Reader("en", units)
        for message in messages:
            wrong += [f"{units}: {b!r} in {reader(message)!r}" for b in bare_numbers(reader(message))]
        for message in messages:
            for name, value in values(message):
                ratio = any(f"{{{name}}} {word}" in message.key for word in ("%", "times", "x "))
                if isinstance(value, Number) and not value.unit and value.value != int(value.value) and not ratio:
                    wrong.append(f"{message.key!r}: {name} has no unit")
    return wrong, len(messages)


def test_laws_over_a_few_jobs(tmp_path: Path) -> None:
    looked = 0
    for seed in range(3):
        folder = tmp_path / str(seed)
        folder.mkdir()
        wrong, count = judged(seed, folder, 200.0)
        assert wrong == [], seed
        looked += count
    assert looked > 20


@pytest.mark.slow
@pytest.mark.parametrize("first", range(0, 200, 40))
def test_laws_over_random_jobs(first: int, tmp_path: Path) -> None:
    looked = 0
    for seed in range(first, first + 40):
        folder = tmp_path / str(seed)
        folder.mkdir()
        wrong, count = judged(seed, folder, 200.0)
        assert wrong == [], seed
        looked += count
    assert looked > 400


def test_laws_of_the_sheets() -> None:
    wrong, looked = sheet_faults(small())
    assert wrong == []
    assert looked > 1000


@pytest.mark.slow
@pytest.mark.parametrize("sample_name", ["van-nose-mount", "buggy-doubler", "trailer-spring-hanger"])
def test_laws_of_the_sheets_of_samples(sample_name: str) -> None:
    assert sample_name in sample_names()
    assert sheet_faults(sample(sample_name))[0] == []


@pytest.mark.slow
@pytest.mark.parametrize("first", [0, 6])  # all 200: benchmarks/said.py
def test_laws_of_the_sheets_over_random_jobs(first: int, tmp_path: Path) -> None:
    looked = 0
    for seed in range(first, first + 6):
        folder = tmp_path / str(seed)
        folder.mkdir()
        wrong, count = random_sheets(random_job(seed, 200.0), folder)
        assert wrong == [], seed
        looked += count
    assert looked > 2000


@pytest.mark.parametrize(
    ("text", "units"),
    [("keep 5 mm away", "in"), ("3/16 in (4.8 mm) and 5 mm", "in"), ("keep 3/16 in away", "mm"), ("0.020 in", "mm")],
)
def test_a_length_in_other_units_is_seen(text: str, units: str) -> None:
    assert wrong_units(text, units, set())


@pytest.mark.parametrize(
    ("text", "units"),
    [
        ("0.050 to 0.100 in (1.27 to 2.54 mm)", "in"),
        ("0.006 in (0.003 bis 0.010), 0.16 mm (0.07 bis 0.26)", "in"),
        ("(1 1/2, 3) in (38.1, 76.2 mm)", "in"),
        ("wire 0.9 mm", "in"),  # a size by standard
        ("4 in all, 1 in 4, 5 mm/s", "mm"),
        ("not covered (ISO 9013: contours from 350 mm (from memory))", "in"),
    ],
)
def test_a_length_in_the_units_of_the_job_passes(text: str, units: str) -> None:
    assert wrong_units(text, units, {"0.9 mm"}) == []


def test_one_thing_told_twice_with_other_figures_is_seen() -> None:
    first, again, other = (
        say("{who} is {long}", who=code(n), long=mm(v)) for n, v in (("A", 1.0), ("A", 2.0), ("B", 3.0))
    )
    assert told_twice({first: None, other: None}) == []
    assert len(told_twice({first: None, other: None, again: None})) == 1


@pytest.mark.parametrize(
    "text", ["off by 0.25", "1.5 and 2.5 beside", "depth 3.5, then 4 mm and 2.5 more", "gap 1.2 wide"]
)
def test_a_number_without_unit_is_seen(text: str) -> None:
    assert bare_numbers(text)


@pytest.mark.parametrize(
    "text",
    [
        "12.4 mm (11.0 to 20.5)",
        "1.5 to 2.5 mm",
        "(6.25, 8.5) mm",
        "ISO 6947 and A2.4",
        "0.5 %",
        "2.5 times as thick",
        "49/64 in (19.4 mm)",
    ],
)
def test_a_number_with_its_unit_passes(text: str) -> None:
    assert bare_numbers(text) == []


def test_a_contradiction_would_be_seen(tmp_path: Path) -> None:
    for name, data in random_job(0, 200.0).items():
        (tmp_path / name).write_bytes(data)
    job, shop = load(tmp_path / "job.toml")
    results = plans(job, shop, ("opening",), remember=False)
    assert contradictions(results) == []
    found = results.findings[0]
    planted = replace(found, where=say("joint.gap"), message=say("gap {gap}", gap=mm(job.joint.gap_mm + 1.0)))
    assert contradictions(replace(results, findings=(planted,)))
    twice = (replace(found, where="there"), replace(found, where="there", severity="error"))
    assert contradictions(replace(results, findings=twice))
    opening = results.opening
    assert opening is not None
    turned = tuple(replace(s, number=k) for k, s in enumerate(reversed(opening.steps), 1))
    assert contradictions(replace(results, opening=replace(opening, steps=turned)))
