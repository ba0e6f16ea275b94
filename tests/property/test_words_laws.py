"""Laws of what is said of a job: every quantity has its unit, and no message contradicts another; over random jobs."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from random_jobs import random_job

from cutplan.errors import CutplanError
from cutplan.findings import Finding
from cutplan.project.planned.plans import load, plans
from cutplan.sheets.results import Results
from cutplan.texts import Message, Reader, mm, say
from cutplan.texts.values import Length, Number, Value

#: What stands behind a number: a unit, or a sign that it is a ratio, an angle, a share.
_UNIT = (
    r"(?:mm²|mm|in²|in|m|cm/min|m/min|mm/s|kg|g|l/min|l|s|min|h|°C|°|%|J/mm|kJ/mm|N/mm²|N/mm|N|kN|A|V|W|kW|bar|um|µm|"
    r"MiB|times|mal|t\b|d\b|R\b)"
)
_NUMBER = r"[-+−±≤≥]?\s?\d+(?:[.,]\d+)+"
#: Between a number and the unit that it shares: another end of a range, a size, a place, a band in brackets.
_SHARED = r"(?:\s?(?:to|bis|–|…|\.\.\.|x|×|,|;|and|und|or|oder|by|zu|\(|\))\s?)+[-+−±≤≥]?\s?\d"
#: Numbers with a point that are no quantity: standards, revisions, versions, scales, names of fits.
_NO_QUANTITY = re.compile(
    r"(?:ISO|EN|DIN|AWS|AISC|AISI|ASME|ANSI|RS|DXF|Rz|No\.|Nr\.|Part|clause|Abschnitt|section|Table|Tabelle|example)\s?[A-Z]?[\d.:-]+(?:/[A-Z\d.]+)?"
    r"|\b[A-Z]\d+(?:\.\d+)+[a-z]?\b|1 : \d+\.\d+|\d+(?:\.\d+)? ?x thickness|\d+\.\d+ : 1|\b[\w-]+\.(?:pdf|dxf|toml|csv|json|html|com|org|fi|net|de)\b|\d{4}-\d\d-\d\d"
    r"|\bdoi\s\S+|M\d+(?:\.\d+)?\s?[x×]\s?\d+(?:\.\d+)?|\d+/\d+-\d+"
)


def bare_numbers(text: str) -> list[str]:
    """Decimal numbers of a text without a unit behind them, by themselves or shared."""
    text = _NO_QUANTITY.sub("", text)
    found = []
    for m in re.finditer(_NUMBER, text):
        rest = text[m.end() :]
        if re.match(rf"\s?\)?\s?{_UNIT}(?![A-Za-z])", rest) or re.match(_SHARED, rest):
            continue
        # the last of a band in brackets shares the unit of its middle, before the brackets: 12.0 mm (11.0 to 13.0)
        before = text[: m.start()]
        if re.match(r"\s?\)", rest) and re.search(rf"{_UNIT}\s?\([^()]*$", before):
            continue
        found.append(text[max(0, m.start() - 25) : m.end() + 15])
    return found


def said(results: Results) -> list[Message]:
    """Every message of a job: findings with place and advice, steps with what holds what."""
    found: list[Message] = []
    for f in results.findings:
        found += [t for t in (f.message, f.where, f.fix) if isinstance(t, Message)]
    if results.opening is not None:
        for step in results.opening.steps:
            found += [t for t in (step.title, *step.text, *step.holds) if isinstance(t, Message)]
    return found


def values(message: Message) -> list[tuple[str, Value]]:
    found: list[tuple[str, Value]] = []
    for key, value in message.values:
        found.append((key, value))
        if isinstance(value, Message):
            found += values(value)
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
