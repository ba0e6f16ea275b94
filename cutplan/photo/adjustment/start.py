"""First values for the adjustment: plane maps from strips to pictures, then poses and places of the strips."""

from __future__ import annotations

import numpy as np

from cutplan.errors import DrawingError
from cutplan.photo.adjustment.camera import LENS, POSE, rotation_vector
from cutplan.photo.adjustment.observed import Observed
from cutplan.texts import code, say


def plane_map(plane: np.ndarray, px: np.ndarray) -> np.ndarray:
    """Return the 3 x 3 map from a plane to a picture that fits pairs best.

    Parameters
    ----------
    plane, px : (n, 2) arrays
        Pairs of places, at least four not in line.

    Notes
    -----
    Direct linear transformation on moved and scaled places; source: R. Hartley, A. Zisserman, Multiple view geometry,
    2nd ed. (2004), algorithm 4.2 (from memory).
    """
    (a, ta), (b, tb) = _scaled(plane), _scaled(px)
    one = np.ones(len(a))
    zero = np.zeros((len(a), 3))
    h = np.stack([a[:, 0], a[:, 1], one], axis=1)
    rows = np.vstack([np.hstack([h, zero, -b[:, :1] * h]), np.hstack([zero, h, -b[:, 1:] * h])])
    _, _, vt = np.linalg.svd(rows, full_matrices=len(rows) < 9)
    out: np.ndarray = np.linalg.inv(tb) @ vt[-1].reshape(3, 3) @ ta
    scaled: np.ndarray = out / out[2, 2]
    return scaled


def _scaled(p: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    middle = p.mean(axis=0)
    size = float(np.sqrt(((p - middle) ** 2).sum(axis=1).mean() / 2.0))
    t = np.array([[1.0 / size, 0.0, -middle[0] / size], [0.0, 1.0 / size, -middle[1] / size], [0.0, 0.0, 1.0]])
    return (p - middle) / size, t


def mapped(h: np.ndarray, p: np.ndarray) -> np.ndarray:
    """Return places (n, 2) sent through a plane map."""
    q = np.column_stack([p, np.ones(len(p))]) @ h.T
    return np.asarray(q[:, :2] / q[:, 2:])


def strip_places(obs: Observed) -> np.ndarray:
    """Return first places of the strips, (strips, 3): x, y [mm] and angle [rad]; the first strip lies at zero.

    Raises
    ------
    DrawingError
        If some strip is never seen together with the others.
    """
    places = {0: np.zeros(3)}
    while len(places) < len(obs.strips):
        best: tuple[float, int, np.ndarray] | None = None
        for picture in range(obs.pictures):
            here = obs.picture == picture
            known = here & np.isin(obs.strip, list(places))
            if not known.any():
                continue
            plane = np.concatenate([_laid(places[s], obs.local[known & (obs.strip == s)]) for s in _rows(obs, known)])
            px = np.concatenate([obs.px[known & (obs.strip == s)] for s in _rows(obs, known)])
            back = plane_map(px, plane)
            for s in _rows(obs, here):
                if s in places:
                    continue
                mine = here & (obs.strip == s)
                at = mapped(back, obs.px[mine])
                away = float(np.hypot(*(at.mean(axis=0) - plane.mean(axis=0))))
                if best is None or away < best[0]:
                    best = (away, s, _laid_like(obs.local[mine], at))
        if best is None:
            left = [obs.letter(i) for i in range(len(obs.strips)) if i not in places]
            raise DrawingError(
                say("some strips are never in one picture with the others"),
                say("strips {letters}", letters=code(", ".join(left))),
                say("take each picture so that at least two strips of it are in another one too"),
            )
        places[best[1]] = best[2]
    return np.array([places[i] for i in range(len(obs.strips))])


def _rows(obs: Observed, mask: np.ndarray) -> list[int]:
    return [int(s) for s in np.unique(obs.strip[mask])]


def _laid(place: np.ndarray, local: np.ndarray) -> np.ndarray:
    c, s = np.cos(place[2]), np.sin(place[2])
    return np.asarray(local @ np.array([[c, s], [-s, c]]) + place[:2])


def _laid_like(local: np.ndarray, at: np.ndarray) -> np.ndarray:
    """Turn and shift that lay a strip over places seen (least squares, exact formula)."""
    p, q = local - local.mean(axis=0), at - at.mean(axis=0)
    angle = float(np.arctan2((p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]).sum(), (p * q).sum()))
    shift = at.mean(axis=0) - _laid(np.array([0.0, 0.0, angle]), local.mean(axis=0)[None])[0]
    return np.array([*shift, angle])


def world_places(obs: Observed, strips: np.ndarray, scale: np.ndarray) -> np.ndarray:
    """Return the places of all observed dots [mm], (n, 3), for strips (strips, 3) and print scale (2,)."""
    return np.column_stack([on_strip(strips[obs.strip], obs.local * scale), np.zeros(len(obs.strip))])


def on_strip(place: np.ndarray, local: np.ndarray) -> np.ndarray:
    """Return places given on strips [mm], (n, 2), for the place of each one's strip, (n, 3)."""
    c, s = np.cos(place[:, 2]), np.sin(place[:, 2])
    x, y = local[:, 0], local[:, 1]
    return np.stack([place[:, 0] + c * x - s * y, place[:, 1] + s * x + c * y], axis=1)


def poses_for(obs: Observed, strips: np.ndarray, focal_px: float) -> tuple[np.ndarray, np.ndarray]:
    """Return (lens (8,), poses (pictures, 8)) for strips and a focal length [px].

    Parameters
    ----------
    obs : Observed
        What is seen.
    strips : (strips, 3) array
        Places of the strips [mm, rad].
    focal_px : float
        Focal length to start from [px].
    """
    lens = np.zeros(LENS)
    lens[:3] = focal_px, 0.5 * (obs.size[0] - 1), 0.5 * (obs.size[1] - 1)
    poses = np.zeros((obs.pictures, POSE))
    world = world_places(obs, strips, np.ones(2))[:, :2]
    inner = np.array([[focal_px, 0.0, lens[1]], [0.0, focal_px, lens[2]], [0.0, 0.0, 1.0]])
    for i in range(obs.pictures):
        mine = obs.picture == i
        h = np.linalg.inv(inner) @ plane_map(world[mine], obs.px[mine])
        h /= np.sqrt(np.linalg.norm(h[:, 0]) * np.linalg.norm(h[:, 1]))
        if h[2] @ np.array([*world[mine].mean(axis=0), 1.0]) < 0.0:
            h = -h
        u, _, vt = np.linalg.svd(np.column_stack([h[:, 0], h[:, 1], np.cross(h[:, 0], h[:, 1])]))
        turn = u @ np.diag([1.0, 1.0, np.linalg.det(u @ vt)]) @ vt
        poses[i, :3], poses[i, 3:6] = rotation_vector(turn), h[:, 2]
    return lens, poses


def scan_maps(obs: Observed, strips: np.ndarray) -> np.ndarray:
    """Return first affine maps of scans, (pictures, 8)."""
    poses = np.zeros((obs.pictures, POSE))
    world = world_places(obs, strips, np.ones(2))
    for i in range(obs.pictures):
        mine = obs.picture == i
        a = np.column_stack([world[mine][:, :2], np.ones(int(mine.sum()))])
        fit, *_ = np.linalg.lstsq(a, obs.px[mine], rcond=None)
        poses[i, :6] = fit.T.ravel()
    return poses
