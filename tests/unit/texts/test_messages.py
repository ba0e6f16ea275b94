"""Messages: keys with typed values, put into words for a reader."""

from __future__ import annotations

import pytest

from cutplan.texts import Message, Reader, band, listed, mm, name, number, place, plural, say, size, span, to, together


def test_values_carry_their_unit_and_follow_the_reader() -> None:
    text = say("kerf {kerf}", kerf=mm(38.1, 2))
    assert str(text) == "kerf 38.10 mm"
    assert Reader(units="in")(text) == "kerf 1 1/2 in (38.10 mm)"  # exact: 38.1 / 25.4 = 1.5


def test_the_users_own_names_are_never_translated() -> None:
    for word in ("and", "to", "file", "mark"):
        text = say("{a}", a=listed([word, "B", word]))
        assert Reader("de")(text) == f"{word}, B und {word}"


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (span(1.27, 2.54, digits=2), "1.27 to 2.54 mm"),
        (band(206, 433, 943, "N/mm2", 0), "433 N/mm² (206 to 943)"),
        (place(412, 18), "(412.0, 18.0) mm"),
        (size(25, 3, digits=0), "25 mm x 3 mm"),
        (to("C3", "C5"), "C3 to C5"),
        (number(-0.001, "kg", 2), "0.00 kg"),
        (listed([]), ""),
        (listed(["A"]), "A"),
    ],
)
def test_how_each_value_is_shown(value: object, shown: str) -> None:
    assert str(say("{v}", v=value)) == shown  # type: ignore[arg-type]


def test_a_count_decides_between_one_and_many() -> None:
    assert [str(plural("1 hole", "{count} holes", n)) for n in (1, 0, 3)] == ["1 hole", "0 holes", "3 holes"]


def test_parts_are_said_one_after_the_other() -> None:
    assert str(together(say("One."), "", say("Two {n}.", n=2))) == "One. Two 2."
    assert not together("", Message(""))


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: say("a {b}"),
        lambda: say("a", b=1),
        lambda: say("a {b}", b="bare"),
        lambda: say("a {b}", b=1.5),
        lambda: say("a {b}").fill(c=name("x")),
    ],
)
def test_a_wrong_value_is_refused_at_once(wrong: object) -> None:
    with pytest.raises((KeyError, TypeError)):
        wrong()  # type: ignore[operator]
