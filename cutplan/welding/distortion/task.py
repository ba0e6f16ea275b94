"""What the order of beads is computed from: sheets, joint path, beads with their shrinkage, pads, brace."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from cutplan.tables.band import Band

Floats = NDArray[np.float64]
Point2 = tuple[float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Sheet:
    """A flat sheet for the mesh.

    Parameters
    ----------
    outer : ndarray (n, 2)
        Outer boundary, without repeated end point [mm].
    holes : tuple of ndarray (n, 2)
        Openings and holes [mm].
    thickness_mm : float
        Thickness [mm].
    middle_z_mm : float
        Height of the middle surface; the torch side of the joint is up [mm].
    modulus_N_per_mm2, poisson, yield_N_per_mm2 : float
        Elastic constants [N/mm2], [1], yield strength [N/mm2].
    wall_held : bool
        The outer boundary stands on the walls of a closed box of the sheet's own thickness, folded down along it.
    wall_depth_mm : float
        Depth of these walls [mm].
    """

    outer: Floats
    holes: tuple[Floats, ...]
    thickness_mm: float
    middle_z_mm: float = 0.0
    modulus_N_per_mm2: float = 206_000.0
    poisson: float = 0.3
    yield_N_per_mm2: float = 250.0
    wall_held: bool = False
    wall_depth_mm: float = 90.0


@dataclass(frozen=True, slots=True, eq=False)
class Rib:
    """A stiffener along a polyline behind the skin.

    Parameters
    ----------
    line : ndarray (n, 2)
        Polyline [mm].
    thickness_mm, depth_mm : float
        Section of the rib; it stands on edge behind the skin [mm].
    """

    line: Floats
    thickness_mm: float
    depth_mm: float


@dataclass(frozen=True, slots=True)
class Strength:
    """What metal bears before it flows; bands, since the mill delivers more than the least that a grade promises.

    Parameters
    ----------
    weld_N_per_mm2, plate_N_per_mm2, skin_N_per_mm2 : Band
        Yield strengths [N/mm2].
    hardening : Band
        Flow stress at the strains of a weld over the yield strength [1].
    """

    weld_N_per_mm2: Band
    plate_N_per_mm2: Band
    skin_N_per_mm2: Band
    hardening: Band


@dataclass(frozen=True, slots=True, eq=False)
class BoxSize:
    """What nobody measured of a box, at one end of what it may be.

    Parameters
    ----------
    outer : ndarray (n, 2)
        Where its walls hold the skin; as many points as the skin's outer boundary has [mm].
    ribs : tuple of Rib
        The ribs, those of the task in their order.
    beside : float
        Section of the metal beside the weld over what is taken [1].
    """

    outer: Floats
    ribs: tuple[Rib, ...]
    beside: float = 1.0


@dataclass(frozen=True, slots=True)
class Doubt:
    """What is not known about the box and the joint, as bands.

    Parameters
    ----------
    wall_depth_mm : Band
        Depth of the box's walls [mm].
    grip : Band
        How stiffly the vehicle holds the box, over what the model takes [1].
    weld_z_mm : Band
        Height of the weld's middle [mm].
    ligament_mm : Band
        Width of weld metal between the parts [mm].
    sizes : (BoxSize, BoxSize) or None
        The box as small and as large as it may be where nobody measured it; None where all was.
    flush : Band or None
        How stiffly magnets or clamps keep the plate flush, over what the options take [1]; None takes that as known.
    """

    wall_depth_mm: Band
    grip: Band
    weld_z_mm: Band
    ligament_mm: Band
    sizes: tuple[BoxSize, BoxSize] | None = None
    flush: Band | None = None


@dataclass(frozen=True, slots=True)
class Inherent:
    """What one bead does when it cools, per bead.

    Parameters
    ----------
    shrink_mm : Band
        Shrinkage across the joint, free plates [mm].
    tendon_N : Band
        Contraction force along the bead [N].
    angle_rad : Band
        Rotation of one part against the other about the joint, folding towards the torch side [rad].
    pull_section_mm2 : float
        Section whose yield force the contraction force cannot exceed; 0 for no limit [mm2].
    """

    shrink_mm: Band
    tendon_N: Band
    angle_rad: Band
    pull_section_mm2: float = 0.0


@dataclass(frozen=True, slots=True)
class Bead:
    """A tack or a stitch on the joint path.

    Parameters
    ----------
    name : str
        Stable name, such as ``T3`` or ``S12``.
    kind : {"tack", "stitch"}
        A tack is melted into the stitch that passes over it.
    start_mm, end_mm : float
        Length along the joint path where it starts and ends when welded forward; end > start, end may pass the
        path's length where the bead crosses the path's first point [mm].
    throat_mm : float
        Thickness of the weld that carries load [mm]; 0 takes the thinner sheet.
    way : int
        1 for beads that can only be welded along the path, -1 against it, 0 either way.
    """

    name: str
    kind: Literal["tack", "stitch"]
    start_mm: float
    end_mm: float
    throat_mm: float = 0.0
    way: int = 0


@dataclass(frozen=True, slots=True)
class PadPoints:
    """A face that must stay flat and in place.

    Parameters
    ----------
    name : str
        Name of the pad.
    centre : (float, float)
        Centre, from which the pitch to other pads is measured [mm].
    points : tuple of (float, float)
        Points of the face at which its height is taken; empty takes a ring of eight at `radius_mm` [mm].
    radius_mm : float
        Radius of that ring [mm].
    flatness_mm, pitch_mm : float
        What is allowed: out of flat, and change of distance to other pads [mm].
    """

    name: str
    centre: Point2
    points: tuple[Point2, ...] = ()
    radius_mm: float = 10.0
    flatness_mm: float = 0.5
    pitch_mm: float = 0.5


@dataclass(frozen=True, slots=True)
class BracePath:
    """A bar, or the real mating part, fixed to the plate or the skin while welding.

    Parameters
    ----------
    name : str
        Name of the brace.
    points : tuple of (float, float)
        Where it is fixed, in the order along the bar; each is fixed to whichever sheet lies there [mm].
    second_moment_mm4, area_mm2 : float
        Section of the bar [mm4], [mm2]; large values stand for the rigid mating part.
    modulus_N_per_mm2 : float
        Modulus of elasticity [N/mm2].
    ends : tuple of str
        Names of the pads that it joins, where it does.
    """

    name: str
    points: tuple[Point2, ...]
    second_moment_mm4: float
    area_mm2: float
    modulus_N_per_mm2: float = 206_000.0
    ends: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class FixedBrace:
    """A brace as fitted, by its stiffness at the places where it is fixed.

    Parameters
    ----------
    name : str
        Name of the brace.
    places : ndarray (n, 2)
        Fixings [mm].
    on_plate : tuple of bool
        Whether each stands on the plate; else on the skin.
    matrix : ndarray (5 n, 5 n)
        Stiffness on x, y, height, slope x and slope y of the sheet's middle at each fixing [N, mm].
    ends : tuple of str
        Names of the pads that it joins, where it does.
    """

    name: str
    places: Floats
    on_plate: tuple[bool, ...]
    matrix: Floats
    ends: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class WeldTask:
    """Plain geometry of one welded insert.

    Parameters
    ----------
    plate, skin : Sheet
        The insert and the sheet around it.
    path : ndarray (n, 2)
        Joint path, closed, without repeated end point [mm]; bead positions are lengths along it.
    weld_z_mm : float
        Height of the weld's centroid; with the middle surfaces it gives the eccentricity [mm].
    ligament_mm : float
        Width of weld metal between the two parts (the gap) [mm].
    lap : bool
        The weld runs on the skin along the path, inside its opening's rim; else along the skin's first hole.
    ribs, pads, brace
        Stiffeners of the skin, faces to keep, brace or None.
    strength : Strength or None
        What metal bears; None takes the sheets' yield strengths as the least.
    doubt : Doubt or None
        What is not known about box and joint; None takes it as known.
    """

    plate: Sheet
    skin: Sheet
    path: Floats
    weld_z_mm: float = 0.0
    ligament_mm: float = 1.0
    lap: bool = False
    ribs: tuple[Rib, ...] = ()
    pads: tuple[PadPoints, ...] = ()
    brace: BracePath | FixedBrace | None = None
    strength: Strength | None = None
    doubt: Doubt | None = None


@dataclass(frozen=True, slots=True)
class OrderOptions:
    """How hard to look and how finely.

    Parameters
    ----------
    evaluations : int
        Orders that the search may follow.
    seed : int
        Seed of every random choice.
    training : int
        Draws that the search sees.
    samples : int
        Fresh draws that orders are compared by.
    order : str or None
        Name of the order to weld; None leaves the choice to the comparison.
    triangles : int
        Wanted number of triangles of both meshes together.
    steps_shape : bool
        Also compute the displaced shape after each step of the chosen order.
    tacks_first : bool
        All tacks come before all stitches.
    extra_places : int
        Candidates for one more tack or brace that are tried; 0 leaves this out.
    flush_N_per_mm : float
        How stiffly magnets or clamps keep the plate flush with the skin (lift, and tilt over its size) while it is
        welded; they come off at the end with the brace. 0 for none [N/mm].
    hold_in_plane_N_per_mm, hold_out_of_plane_N_per_mm : float
        How stiffly the plate is held besides, for good; the vehicle holds the box a
        hundred times as stiffly as the first, each way [N/mm].
    pitch_weight, closing_weight : float
        Share of the pitch change, and of the closing beyond half the gap, in the score; flatness counts one [1].
    """

    evaluations: int = 90
    seed: int = 7
    training: int = 6
    samples: int = 64
    order: str | None = None
    triangles: int = 3200
    steps_shape: bool = True
    tacks_first: bool = True
    extra_places: int = 6
    flush_N_per_mm: float = 1000.0
    hold_in_plane_N_per_mm: float = 100.0
    hold_out_of_plane_N_per_mm: float = 1.0
    pitch_weight: float = 0.5
    closing_weight: float = 0.25
