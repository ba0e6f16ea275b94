"""From a place in space to a pixel: one lens for all photographs, one pose for each; flatbed scans as affine maps."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

#: Numbers of a lens: focal length, centre x and y [px], three radial and two decentring terms [1].
LENS = 8
#: Numbers of a pose: rotation vector [rad] and shift [mm]; then the shift of the centre in this picture [px].
POSE = 8


@dataclass(frozen=True)
class Views:
    """All pictures of one job: lens (8,), poses (pictures, 8) and whether they are scans.

    A pose's first three numbers turn the world into the camera, the next three move it [mm], the last two move the
    lens's centre in this picture [px] (an image stabiliser does). For scans the first six are the affine map from
    millimetres to pixels, row by row.
    """

    lens: np.ndarray
    poses: np.ndarray
    scan: bool = False

    def eye(self, picture: int) -> np.ndarray:
        """Return where the camera stood [mm]; far above for a scan."""
        if self.scan:
            return np.array([0.0, 0.0, 1e9])
        turn = rotation(self.poses[picture : picture + 1, :3])[0]
        return np.asarray(-turn.T @ self.poses[picture, 3:6])

    def pixels(self, picture: int, xyz: np.ndarray) -> np.ndarray:
        """Return where places (n, 3) [mm] appear in a picture, (n, 2) [px]; those behind the camera are no numbers."""
        flat = xyz.reshape(-1, 3)
        pose = self.poses[picture]
        if self.scan:
            pixel = project(self.lens, pose[None], np.zeros(len(flat), dtype=int), flat, scan=True)
        else:
            pixel = _through_lens(self.lens, flat @ rotation(pose[None, :3])[0].T + pose[3:6], pose[6:])
        return pixel.reshape(*xyz.shape[:-1], 2)

    def mm_per_px(self, picture: int, xyz: np.ndarray) -> float:
        """Return the size of a pixel on the plane of the marks about a place [mm]."""
        d = 1.0
        p = self.pixels(picture, xyz + np.array([[0.0, 0.0, 0.0], [d, 0.0, 0.0], [0.0, d, 0.0]]))
        return float(d / np.sqrt(abs(np.linalg.det(np.stack([p[1] - p[0], p[2] - p[0]])))))


def rotation(vectors: np.ndarray) -> np.ndarray:
    """Return rotation matrices (n, 3, 3) of rotation vectors (n, 3) [rad] (Rodrigues' formula, exact)."""
    angle = np.linalg.norm(vectors, axis=1)
    safe = np.where(angle < 1e-12, 1.0, angle)
    k = vectors / safe[:, None]
    zero = np.zeros(len(k))
    cross = np.stack([zero, -k[:, 2], k[:, 1], k[:, 2], zero, -k[:, 0], -k[:, 1], k[:, 0], zero], 1).reshape(-1, 3, 3)
    s, c = np.sin(angle)[:, None, None], np.cos(angle)[:, None, None]
    out: np.ndarray = np.eye(3) + s * cross + (1.0 - c) * (cross @ cross)
    return out


def rotation_vector(matrix: np.ndarray) -> np.ndarray:
    """Return the rotation vector (3,) [rad] of a rotation matrix (3, 3)."""
    from scipy.spatial.transform import Rotation

    return np.asarray(Rotation.from_matrix(matrix).as_rotvec())


def project(lens: np.ndarray, poses: np.ndarray, which: np.ndarray, xyz: np.ndarray, scan: bool = False) -> np.ndarray:
    """Return pixels of places.

    Parameters
    ----------
    lens : (8,) array
        f, cx, cy [px], k1, k2, k3, p1, p2 [1].
    poses : (pictures, 8) array
        As in :class:`Views`.
    which : (n,) int array
        Picture that each place is asked for.
    xyz : (n, 3) array
        Places [mm].
    scan : bool
        Whether the pictures are scans; height then counts for nothing.

    Returns
    -------
    (n, 2) array
        Column and row [px].

    Notes
    -----
    Radial terms to the sixth power and two decentring terms, source: D. C. Brown, Decentering distortion of lenses,
    Photogrammetric Engineering 32 (1966) 444-462 (from memory).
    """
    if scan:
        a = poses[which, :6].reshape(-1, 2, 3)
        return np.asarray(a[:, :, 0] * xyz[:, :1] + a[:, :, 1] * xyz[:, 1:2] + a[:, :, 2])
    turn = rotation(poses[:, :3])[which]
    return _through_lens(lens, np.einsum("nij,nj->ni", turn, xyz) + poses[which, 3:6], poses[which, 6:])


def _through_lens(lens: np.ndarray, at: np.ndarray, shift: np.ndarray) -> np.ndarray:
    """Pixels of places (n, 3) in the camera's own axes [mm], the lens's centre shifted by (n, 2) or (2,) [px]."""
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        depth = np.where(at[:, 2] > 1e-6, at[:, 2], np.nan)
        x, y = at[:, 0] / depth, at[:, 1] / depth
        f, cx, cy, k1, k2, k3, p1, p2 = lens
        r2 = x * x + y * y
        radial = 1.0 + r2 * (k1 + r2 * (k2 + r2 * k3))
        xd = x * radial + 2.0 * p1 * x * y + p2 * (r2 + 2.0 * x * x)
        yd = y * radial + p1 * (r2 + 2.0 * y * y) + 2.0 * p2 * x * y
    out = np.empty((len(at), 2))
    out[:, 0], out[:, 1] = f * xd + cx, f * yd + cy
    return np.asarray(out + shift)
