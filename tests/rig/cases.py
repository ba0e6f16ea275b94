"""Scenes by name: the conditions of the accuracy table."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from cutplan.photo.adjustment.solved import Known
from cutplan.photo.marking.marks import LETTERS, cross_places
from rig.scene import Scene, View, four_views, large_plate, main_scene, strips_round


def known(scene: Scene, first: int = 0, second: int = 3, error_mm: float = 0.05, off_mm: float = 0.0) -> Known:
    """Return the true length between cross 1 of one strip and cross 2 of another, read with an error [mm]."""

    def at(i: int, cross: int) -> np.ndarray:
        s = scene.strips[i]
        p = cross_places()[cross] * np.array(scene.print_scale)
        a = np.radians(s.angle_deg)
        return np.array([s.x + np.cos(a) * p[0] - np.sin(a) * p[1], s.y + np.sin(a) * p[0] + np.cos(a) * p[1]])

    length = float(np.hypot(*(at(second, 1) - at(first, 0))))
    letters = [LETTERS[scene.strips[i].number] for i in (first, second)]
    return Known(letters[0], 1, letters[1], 2, length + off_mm, error_mm)


def _strips(scene: Scene, **changes: float) -> Scene:
    return replace(scene, strips=tuple(replace(s, **changes) for s in scene.strips))


def _vertical(scene: Scene) -> Scene:
    first = replace(scene.views[0], tilt_deg=1.0)
    return replace(scene, views=(first, *scene.views[1:]))


def _curled(scene: Scene) -> Scene:
    return replace(scene, strips=(*scene.strips[:2], replace(scene.strips[2], curl_mm=2.0), *scene.strips[3:]))


def _light(scene: Scene) -> Scene:
    return replace(scene, backing=(0.75, 0.74, 0.72), backing_texture=0.04, sun=(0.5, 0.35))


def _large(scene: Scene) -> Scene:
    return replace(scene, card=large_plate(), strips=strips_round(640.0, 440.0, 4, 8), views=four_views(900.0))


def _shifted(scene: Scene) -> Scene:
    moves = ((8.0, -5.0), (-6.0, 4.0), (3.0, 8.0), (-7.0, -6.0))
    return replace(scene, views=tuple(replace(v, shift_px=m) for v, m in zip(scene.views, moves, strict=True)))


CASES: dict[str, Callable[[Scene], Scene]] = {
    "tilted 15 deg": lambda s: s,
    "one of them vertical": _vertical,
    "hard shadow across": lambda s: replace(s, hard_shadow=True),
    "low contrast on gravel": lambda s: replace(s, backing=(0.2, 0.19, 0.17), backing_texture=0.5),
    "blur 2 px, noise x 3": lambda s: replace(s, blur_px=2.0, noise=0.018),
    "stabiliser moves the centre 8 px": _shifted,
    "light backing, cast shadow": _light,
    "bowed 2 mm": lambda s: replace(s, bow_mm=2.0),
    "print scale 0.3 % wrong": lambda s: replace(s, print_scale=(1.003, 1.003)),
    "one print axis 0.3 % wrong": lambda s: replace(s, print_scale=(1.003, 1.0)),
    "one strip curled 2 mm": _curled,
    "all strips curled 2 mm": lambda s: _strips(s, curl_mm=2.0),
    "all strips raised 1 mm": lambda s: _strips(s, raised_mm=1.0),
    "thickness given 1 mm wrong": lambda s: replace(s, thickness_mm=2.0),
    "tone of another camera": lambda s: replace(s, tone_srgb=False),
    "600 x 400 mm card": _large,
}


def scene_of(name: str) -> Scene:
    """Return the scene of a case."""
    return CASES[name](main_scene())


def random_scene(seed: int, small: float = 0.5) -> Scene:
    """Return the card of the figures under conditions drawn by chance: for the errors told against the errors made."""
    rng = np.random.default_rng(seed)
    scene = main_scene()
    views = tuple(
        View(
            rng.uniform(11, 19),
            90.0 * i + rng.uniform(-25, 25),
            rng.uniform(490, 580),
            rng.uniform(-8, 8),
            (rng.uniform(-12, 12), rng.uniform(-12, 12)),
        )
        for i in range(4)
    )
    return replace(
        scene,
        views=views,
        strips=strips_round(345.0, 225.0, seed + 10),
        lens=replace(
            scene.lens, a1=rng.uniform(-0.06, 0.07), a2=rng.uniform(-0.03, 0.03), f=rng.uniform(2900, 3400)
        ).smaller(small),
        thickness_mm=rng.uniform(2.0, 4.0),
        blur_px=rng.uniform(0.7, 1.5),
        noise=rng.uniform(0.004, 0.012),
        bow_mm=rng.choice([0.0, 0.0, 0.6]),
        print_scale=(1 + rng.normal(0, 0.002), 1 + rng.normal(0, 0.002)),
        backing=tuple(np.array([0.05, 0.055, 0.065]) * rng.uniform(0.6, 2.0)),
        wall=rng.uniform(0.5, 0.95),
        texture=rng.uniform(0.02, 0.08),
        hard_shadow=bool(rng.random() < 0.2),
        seed=seed,
    )
