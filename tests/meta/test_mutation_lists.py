"""The bench of planted faults names modules and tests that are there, and faults that can still be planted."""

from __future__ import annotations

from benchmarks.mutation import EQUIVALENT, GROUPS, ROOT, mutants_of


def test_modules_and_tests_are_there() -> None:
    missing = [f for modules, tests in GROUPS.values() for f in (*modules, *tests) if not (ROOT / f).is_file()]
    assert missing == []


def test_faults_that_no_test_can_notice_can_still_be_planted() -> None:
    known = {m.key for module in {key[0] for key in EQUIVALENT} for m in mutants_of(module)}
    assert [key for key in EQUIVALENT if key not in known] == []
