"""One photograph or scan as numbers: bytes as stored, light when sampled."""

from __future__ import annotations

import io
from dataclasses import dataclass
from functools import cache, cached_property
from math import hypot
from pathlib import Path

import numpy as np

from cutplan.errors import DrawingError, LimitError
from cutplan.files.bounded import bounded_bytes
from cutplan.texts import name, say

#: Most and least pixels of a picture: beyond it memory suffers, below it marks are too small.
MOST_PIXELS = 64_000_000
LEAST_PIXELS = 500_000
#: Most bytes of a picture file: as many pixels of three times two bytes, uncompressed.
MOST_BYTES = 6 * MOST_PIXELS + 1_000_000
#: How a camera may store light: by the usual curve, or as it is.
TONES = ("srgb", "plain")
#: Diagonal of the 36 x 24 mm frame that the equivalent focal length of EXIF refers to [mm].
_FRAME_DIAGONAL_MM = hypot(36.0, 24.0)
_EXIF, _FOCAL_35, _MODEL, _FOCAL = 0x8769, 0xA405, 0x0110, 0x920A


@dataclass(frozen=True)
class Picture:
    """A picture as stored by the camera.

    ``rgb`` is (height, width, 3) bytes, never turned by its orientation tag: pixels stay where the lens put them.
    ``focal_px`` is the focal length that EXIF claims [px] or None; ``camera`` names camera and lens setting; ``tone`` is
    how light is stored, one of ``TONES``.
    """

    name: str
    rgb: np.ndarray
    focal_px: float | None
    camera: str
    dpi: float | None
    tone: str = "srgb"

    @property
    def width(self) -> int:
        return int(self.rgb.shape[1])

    @property
    def height(self) -> int:
        return int(self.rgb.shape[0])

    @cached_property
    def grey(self) -> np.ndarray:
        """The picture in grey bytes, (height, width): the only band that JPEG stores for every pixel."""
        from PIL import Image

        return np.asarray(Image.fromarray(self.rgb).convert("L"))


@cache
def light_of_byte(tone: str = "srgb") -> np.ndarray:
    """Return the light, 0 to 1, that each of the 256 byte values stands for, as (256,) floats, under one of ``TONES``.

    Source: IEC 61966-2-1 (sRGB), exact formula; ``"plain"`` is light stored as it is.
    """
    v = np.arange(256) / 255.0
    curve = v if tone == "plain" else np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)
    out: np.ndarray = curve.astype(np.float32)
    out.setflags(write=False)
    return out


def read_picture(path: Path) -> Picture:
    """Return a picture file as numbers.

    Raises
    ------
    DrawingError
        If the file cannot be read as a picture.
    LimitError
        If it holds too many or too few pixels.
    """
    from PIL import Image, UnidentifiedImageError

    try:
        data = bounded_bytes(path, MOST_BYTES)
    except OSError as fault:
        raise DrawingError(
            say("the picture cannot be read ({reason})", reason=name(fault.strerror)), str(path), say("check the name")
        ) from fault
    if len(data) > MOST_BYTES:
        raise LimitError(say("the picture is too large"), path.name, say("at most 64 million pixels"))
    try:
        with Image.open(io.BytesIO(data)) as image:
            size = image.width * image.height
            if size > MOST_PIXELS:
                raise LimitError(say("the picture is too large"), path.name, say("at most 64 million pixels"))
            if size < LEAST_PIXELS:
                raise LimitError(
                    say("the picture is too small"),
                    path.name,
                    say("use the file as the camera wrote it, 2 million pixels or more"),
                )
            facts = image.getexif()
            inner = facts.get_ifd(_EXIF)
            rgb = np.asarray(image.convert("RGB"))
            dpi = image.info.get("dpi")
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, Image.DecompressionBombError) as fault:
        if isinstance(fault, LimitError):
            raise
        raise DrawingError(
            say("this is no picture that can be read"), path.name, say("use JPEG, PNG or TIFF")
        ) from fault
    focal = _number(inner.get(_FOCAL_35))
    diagonal = hypot(rgb.shape[0], rgb.shape[1])
    camera = f"{facts.get(_MODEL, '')} {_number(inner.get(_FOCAL)) or ''}".strip()
    return Picture(
        path.name,
        rgb,
        focal / _FRAME_DIAGONAL_MM * diagonal if focal else None,
        camera,
        _number(dpi[0]) if dpi else None,
    )


def _number(value: object) -> float | None:
    try:
        number = float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError, ZeroDivisionError):
        return None
    return number if 1.0 <= number < 1e5 else None


def sampled(rgb: np.ndarray, px: np.ndarray, tone: str) -> np.ndarray:
    """Return the light at places of a picture, between pixels by two-way straight interpolation.

    Parameters
    ----------
    rgb : (height, width, 3) or (height, width) uint8 array
        The picture, in colour or in grey.
    px : (..., 2) array
        Places, column and row [px]; the middle of the first pixel is (0, 0).
    tone : str
        How the picture stores light, one of ``TONES``.

    Returns
    -------
    (..., 3) or (..., 1) float32 array
        Light, 0 to 1; not a number outside the picture.
    """
    bands = rgb.reshape(*rgb.shape[:2], -1)
    table = light_of_byte(tone)
    height, width = rgb.shape[:2]
    u, v = px[..., 0], px[..., 1]
    inside = (u >= 0.0) & (v >= 0.0) & (u <= width - 1.001) & (v <= height - 1.001)
    left = np.where(inside, u, 0.0).astype(np.int64)
    top = np.where(inside, v, 0.0).astype(np.int64)
    a = np.where(inside, u - left, 0.0).astype(np.float32)[..., None]
    b = np.where(inside, v - top, 0.0).astype(np.float32)[..., None]
    flat = bands.reshape(-1, bands.shape[2])
    at = top * width + left
    upper = table[flat[at]] * (1 - a) + table[flat[at + 1]] * a
    lower = table[flat[at + width]] * (1 - a) + table[flat[at + width + 1]] * a
    out: np.ndarray = upper * (1 - b) + lower * b
    out[~inside] = np.nan
    return out


def light_near(rgb: np.ndarray, px: np.ndarray, tone: str) -> np.ndarray:
    """Return the light of the nearest pixels; parameters and result as for :func:`sampled`, (height, width, 3) only.

    Good to half a pixel: for what is only told apart, never for what is measured.
    """
    height, width = rgb.shape[:2]
    u, v = px[..., 0], px[..., 1]
    inside = (u >= 0.0) & (v >= 0.0) & (u <= width - 1.001) & (v <= height - 1.001)
    at = np.where(inside, v + 0.5, 0.0).astype(np.int64) * width + np.where(inside, u + 0.5, 0.0).astype(np.int64)
    out: np.ndarray = light_of_byte(tone)[rgb.reshape(-1, 3)[at]]
    out[~inside] = np.nan
    return out
