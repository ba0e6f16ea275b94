"""How a camera stores light is told from the flanks of the marks' edges, whatever the ink did."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter

from cutplan.photo.marking.dots import find_dots
from cutplan.photo.marking.tone import in_their_tone
from cutplan.photo.picture import Picture


def _sheet(curve: str, blur: float, spread: float, seed: int) -> Picture:
    """Solid dots on paper, sampled five times finer than the pixel, blurred, and stored by a curve."""
    fine, size = 3, 354
    rng = np.random.default_rng(seed)
    v, u = np.mgrid[0 : size * fine, 0 : size * fine] / fine
    light = np.full(u.shape, 0.8, dtype=np.float32)
    for i in range(5):
        for j in range(5):
            x, y = 35.0 + 68.0 * np.array([i, j]) + rng.uniform(-0.5, 0.5, 2)
            light[((u - x) / (10.2 + spread)) ** 2 + ((v - y) / (9.6 + spread)) ** 2 < 1.0] = 0.04
    light = gaussian_filter(light, blur * fine)
    light = light.reshape(size, fine, size, fine).mean(axis=(1, 3))
    light = np.clip(light + rng.normal(0.0, 0.006, light.shape), 0.0, 1.0)
    if curve == "srgb":  # published: IEC 61966-2-1
        light = np.where(light <= 0.0031308, 12.92 * light, 1.055 * np.power(light, 1 / 2.4) - 0.055)
    elif curve == "harsh":  # a curve that no standard knows: shadows and lights pressed together
        light = 3.0 * light**2 - 2.0 * light**3
        light = 3.0 * light**2 - 2.0 * light**3
    grey = (255.0 * light + 0.5).astype(np.uint8)
    return Picture("card.jpg", np.repeat(grey[..., None], 3, axis=2), None, "", None)


@pytest.mark.parametrize("spread", [0.0, 0.4])
@pytest.mark.parametrize("blur", [0.9, 1.5])
@pytest.mark.parametrize("curve", ["srgb", "plain"])
def test_the_tone_is_the_one_that_the_picture_was_stored_by(curve: str, blur: float, spread: float) -> None:
    pictures = [_sheet(curve, blur, spread, seed) for seed in (7, 8, 9)]
    told, findings = in_their_tone(pictures, [find_dots(p.grey) for p in pictures])
    assert {p.tone for p in told} == {curve}  # exact: what the picture was made with
    assert [f.code for f in findings] == ([] if curve == "srgb" else ["tone-plain"])


def test_a_curve_that_is_neither_is_a_warning() -> None:
    picture = _sheet("harsh", 1.3, 0.0, 8)
    told, findings = in_their_tone([picture], [find_dots(picture.grey)])
    assert told[0].tone == "srgb"
    assert [(f.code, f.severity) for f in findings] == [("tone-unsure", "warning")]
