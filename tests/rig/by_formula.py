"""Dots of strips put into pictures by the pinhole formula, without rendering: for the adjustment alone."""

from __future__ import annotations

import numpy as np

from cutplan.photo.adjustment.observed import Observed
from cutplan.photo.marking.marks import dot_places, words
from rig.scene import Scene, camera


def observed_by_pinhole(scene: Scene, noise_px: float = 0.0, seed: int = 0) -> Observed:
    """The centres of all dots (as points: no circle to correct) with Brown's k1 = 0.05, f and centre of the scene."""
    rng = np.random.default_rng(seed)
    local = dot_places().reshape(-1, 2)
    picture, strip, where, px = [], [], [], []
    for i, view in enumerate(scene.views):
        rotation, eye = camera(view)
        for j, s in enumerate(scene.strips):
            p = local * np.array(scene.print_scale)
            a = np.radians(s.angle_deg)
            x = s.x + np.cos(a) * p[:, 0] - np.sin(a) * p[:, 1]
            y = s.y + np.sin(a) * p[:, 0] + np.cos(a) * p[:, 1]
            z = s.raised_mm + s.curl_mm * (p[:, 0] / 89.25) ** 2
            c = (np.stack([x, y, z], axis=1) - eye) @ rotation.T
            u = c[:, :2] / c[:, 2:]
            u = u * (1.0 + 0.05 * (u**2).sum(axis=1, keepdims=True))
            picture.append(np.full(len(p), i))
            strip.append(np.full(len(p), j))
            where.append(local)
            px.append(scene.lens.f * u + [scene.lens.cx, scene.lens.cy] + rng.normal(0.0, noise_px, u.shape))
    kinds = np.tile(np.concatenate([words()[s.number].ravel() for s in scene.strips]), len(scene.views))
    return Observed(
        np.concatenate(picture), np.concatenate(strip), np.concatenate(where), np.concatenate(px), kinds,
        tuple(s.number for s in scene.strips), len(scene.views), (scene.lens.width, scene.lens.height), 0.0,
    )  # fmt: skip
