"""Paint over rendered eyes what renders lack: lashes, creases, other irises, glints, glare, uneven light.

Works on eye patches (measuring/eye_patches.py) with the margin that crowd_looks.py leaves about them, and
their landmarks. Coordinates are in units of half a patch's width about its middle, x toward the inner
corner, y down. Needs torch.
"""

from __future__ import annotations

from dataclasses import dataclass

import torch
from crowd_looks import MARGIN_PX
from torch import Tensor
from torch.nn import functional

from eyeline.measuring.eye_patches import HEIGHT_PX, WIDTH_PX

HALF = WIDTH_PX / 2
UPPER = list(range(9))
LOWER = [0, 15, 14, 13, 12, 11, 10, 9, 8]
CENTRE, RIM = 16, slice(17, 21)
"""Positions in eye_network.OUTLINE + IRIS: lids from the outer to the inner corner, iris."""

USUAL_SHIFT, LEFT_BEHIND = (0.03, 0.02), (0.03, 0.03)
"""Deviations, across and up, of a shift that the mesh goes along with and of one that it does not."""
MISTAKEN, MISTAKEN_SHIFT = 0.12, (0.08, 0.2)
MOST_SHIFT = MARGIN_PX / HALF
"""Share of the eyes that the mesh is made to miss, deviations of that shift, and the most that the margin
allows: on dark skin in poor light the mesh lies up to a third of the eye's width too low."""
EDGE = 14.0
SOFT = 60.0
"""Steepness of painted edges per iris radius, per half width."""


@dataclass(frozen=True)
class Eyes:
    """`grey` (n, rows, columns) in levels, `points` (n, 21, 2) of the mesh, true `iris` centre (n, 2)."""

    grey: Tensor
    points: Tensor
    iris: Tensor


class Painter:
    """Paints every eye another way; what both eyes of a face share is drawn once for both."""

    def __init__(self, seed: int) -> None:
        self.generator = torch.Generator().manual_seed(seed)
        self.y, self.x = grid(MARGIN_PX)

    def uniform(self, *shape: int) -> Tensor:
        """Between 0 and 1."""
        return torch.rand(*shape, generator=self.generator)

    def normal(self, *shape: int) -> Tensor:
        """Mean 0, deviation 1."""
        return torch.randn(*shape, generator=self.generator)

    def chance(self, probability: float, count: int) -> Tensor:
        """1 with `probability`, else 0, (count,)."""
        return (self.uniform(count) < probability).float()

    def paint(self, eyes: Eyes) -> Eyes:
        """Everything, one after the other, and the margin is cut off; eyes stand in pairs: left, right, left,
        right.
        """
        grey = self.eyeball(eyes)
        grey = self.lids(grey, eyes.points)
        grey = self.glints(grey)
        grey = self.light(grey)
        return self.shifted(Eyes(grey, eyes.points, eyes.iris))

    def eyeball(self, eyes: Eyes) -> Tensor:
        """Another iris, darker or paler, a duller white, and darker or paler skin about them."""
        upper, lower = self.lid_lines(eyes.points)
        radius = (eyes.points[:, RIM] - eyes.points[:, CENTRE, None]).norm(dim=2).mean(dim=1)
        away = torch.hypot(self.x - eyes.iris[:, 0, None, None], self.y - eyes.iris[:, 1, None, None])
        inside = torch.sigmoid((self.y - upper) * SOFT) * torch.sigmoid((lower - self.y) * SOFT)
        inside = inside * self.between_corners(eyes.points)
        on_iris = torch.sigmoid((1 - away / radius[:, None, None]) * EDGE)
        faces = len(eyes.grey) // 2
        shade = (self.chance(0.6, faces) * (self.normal(faces) * 0.5 - 0.15)).repeat_interleave(2)
        dull = (self.chance(0.4, faces) * self.uniform(faces) * -0.45).repeat_interleave(2)
        skin = (self.chance(0.5, faces) * (self.normal(faces) * 0.4 - 0.1)).repeat_interleave(2)
        eye = shade[:, None, None] * on_iris + dull[:, None, None] * (1 - on_iris)
        return eyes.grey * torch.exp(inside * eye + (1 - inside) * skin[:, None, None])

    def lids(self, grey: Tensor, points: Tensor) -> Tensor:
        """Lashes or liner on the upper lid, thinner ones on the lower, two creases, a brow's shadow."""
        upper, lower = self.lid_lines(points)
        within = self.between_corners(points)
        count = len(grey)
        worn = self.chance(0.6, count // 2).repeat_interleave(2)
        dark = worn * self.uniform(count) * 0.9
        grey = self.line(
            grey, upper, -0.01 - 0.05 * self.uniform(count), 0.02 + 0.05 * self.uniform(count), -dark, within
        )
        below = self.chance(0.3, count) * self.uniform(count) * 0.4
        offset = torch.full((count,), 0.01)
        grey = self.line(grey, lower, offset, 0.015 + 0.03 * self.uniform(count), -below, within)
        for _ in range(2):
            strength = self.chance(0.4, count) * self.normal(count) * 0.25
            above = self.uniform(count) < 0.5
            offset = torch.where(above, -0.1 - 0.2 * self.uniform(count), 0.1 + 0.25 * self.uniform(count))
            base = torch.where(above[:, None, None], upper, lower)
            width = 0.02 + 0.05 * self.uniform(count)
            grey = self.line(grey, base, offset, width, strength, torch.ones_like(within))
        brow = (self.chance(0.35, count // 2) * self.uniform(count // 2)).repeat_interleave(2) * -0.8
        offset, width = -0.05 - 0.15 * self.uniform(count), 0.12 + 0.15 * self.uniform(count)
        return self.line(grey, upper, offset, width, brow, torch.ones_like(within))

    def glints(self, grey: Tensor) -> Tensor:
        """Bright spots: catchlights, wet lids, and now and then a reflection that hides much of the eye."""
        count = len(grey)
        for probability, size in ((0.5, 0.03), (0.25, 0.08), (0.08, 0.3)):
            x, y = (self.uniform(count) - 0.5) * 1.2, (self.uniform(count) - 0.5) * 0.6
            away = torch.hypot(self.x - x[:, None, None], self.y - y[:, None, None])
            radius = size * (0.4 + self.uniform(count))
            strength = self.chance(probability, count) * (0.3 + 0.7 * self.uniform(count))
            cover = torch.sigmoid((radius[:, None, None] - away) * 80) * strength[:, None, None]
            grey = grey * (1 - cover) + 255 * cover
        return grey

    def light(self, grey: Tensor) -> Tensor:
        """A gradient over the eye and another tone curve."""
        count = len(grey)
        across, down = self.normal(count) * 0.35, self.normal(count) * 0.35
        grey = grey * torch.exp(across[:, None, None] * self.x + down[:, None, None] * self.y)
        gamma = torch.exp(self.normal(count) * 0.2)
        return 255 * (grey.clamp(0, 255) / 255).clamp_min(1e-4) ** gamma[:, None, None]

    def shifted(self, eyes: Eyes) -> Eyes:
        """Turned, scaled and shifted a little, landmarks and truth with it; now and then shifted by much,
        which the landmarks miss; then noise.
        """
        count = len(eyes.grey)
        turn, size = self.normal(count) * 0.05, torch.exp(self.normal(count) * 0.05)
        usual = self.normal(count, 2) * torch.tensor(USUAL_SHIFT)
        missed = self.chance(MISTAKEN, count)[:, None] * self.normal(count, 2) * torch.tensor(MISTAKEN_SHIFT)
        missed = missed + self.normal(count, 2) * torch.tensor(LEFT_BEHIND)
        shift = (usual + missed).clamp(-MOST_SHIFT, MOST_SHIFT)
        cosine, sine = torch.cos(turn) * size, torch.sin(turn) * size
        y, x = grid(0)
        across = cosine[:, None, None] * x - sine[:, None, None] * y + shift[:, 0, None, None]
        down = sine[:, None, None] * x + cosine[:, None, None] * y + shift[:, 1, None, None]
        places = torch.stack([across / self.x[0, -1], down / self.y[-1, 0]], dim=-1)
        moved = functional.grid_sample(eyes.grey[:, None], places, padding_mode="border", align_corners=True)

        def back(points: Tensor, by: Tensor) -> Tensor:
            off = points - by[:, None]
            along = cosine[:, None] * off[..., 0] + sine[:, None] * off[..., 1]
            across = cosine[:, None] * off[..., 1] - sine[:, None] * off[..., 0]
            return torch.stack([along, across], dim=-1) / (size**2)[:, None, None]

        noise = self.normal(count, HEIGHT_PX, WIDTH_PX) * (self.uniform(count) * 5)[:, None, None]
        points, iris = back(eyes.points, shift - missed), back(eyes.iris[:, None], shift)[:, 0]
        return Eyes(moved[:, 0] + noise, points, iris)

    def line(
        self, grey: Tensor, along: Tensor, offset: Tensor, width: Tensor, strength: Tensor, within: Tensor
    ) -> Tensor:
        """A soft stroke that follows a lid: darker with negative `strength`."""
        away = (self.y - along - offset[:, None, None]) / width[:, None, None]
        return grey * torch.exp(strength[:, None, None] * torch.exp(-(away**2)) * within)

    def lid_lines(self, points: Tensor) -> tuple[Tensor, Tensor]:
        """Height of the upper and lower lid over each column, (n, 1, columns) each."""
        upper, lower = (
            self.height(points[:, lid, 0].contiguous(), points[:, lid, 1]) for lid in (UPPER, LOWER)
        )
        return upper[:, None], lower[:, None]

    def height(self, at: Tensor, value: Tensor) -> Tensor:
        """Linear interpolation over the columns of the patch, (n, columns)."""
        column = self.x[0].expand(len(at), -1).contiguous()
        after = torch.searchsorted(at, column).clamp(1, at.shape[1] - 1)
        x0, x1 = at.gather(1, after - 1), at.gather(1, after)
        y0, y1 = value.gather(1, after - 1), value.gather(1, after)
        return y0 + ((column - x0) / (x1 - x0).clamp_min(1e-3)).clamp(0, 1) * (y1 - y0)

    def between_corners(self, points: Tensor) -> Tensor:
        """1 between the eye's corners, else 0, (n, 1, columns)."""
        outer, inner = points[:, UPPER[0], 0], points[:, UPPER[-1], 0]
        return ((self.x[0] > outer[:, None]) & (self.x[0] < inner[:, None])).float()[:, None]


def grid(margin_px: int) -> tuple[Tensor, Tensor]:
    """Rows' and columns' places in a patch with a margin of so many pixels, (40 + 2 m, 64 + 2 m) each."""
    rows, columns = (
        (torch.arange(side + 2 * margin_px) - (side + 2 * margin_px - 1) / 2) / HALF
        for side in (HEIGHT_PX, WIDTH_PX)
    )
    return torch.meshgrid(rows, columns, indexing="ij")
