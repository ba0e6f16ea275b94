"""What stands beside every figure of a steering linkage: steering is safety critical."""

from __future__ import annotations

from cutplan.texts import Message, say


def cautions() -> tuple[Message, ...]:
    """Return the cautions printed with every study."""
    return (
        say(
            "Steering is safety critical: a fault can kill. Local codes, the vehicle maker and licensed practice come "
            "first; where they forbid a move, no figure here allows it."
        ),
        say(
            "Tie-rod ends, ball joints and knuckles have angle limits of their own: turn and lift every joint through its "
            "whole travel by hand before anything is welded."
        ),
        say("Tyres, hoses, cables and the steering shaft need room at both locks, at full bump and at full droop."),
        say("Keep enough thread in every tie-rod end after its length is set; the part's maker says how much."),
        say("The vehicle goes to a qualified shop for wheel alignment before it goes on the road."),
        say(
            "The figures are geometry alone: rigid parts, no play, no tyre slip, no give of bushes. They rest on the "
            "points as measured."
        ),
    )
