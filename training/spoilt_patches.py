"""Spoil eye patches as cameras, light, glasses and compression do, and cut them where a mesh would. Torch.

Patches come with a margin and at DENSITY times their resolution; both eyes of a face are spoilt alike.
"""

from __future__ import annotations

from dataclasses import dataclass

import torch
from moved_eyes import DENSITY, MARGIN_PX
from torch import Tensor
from torch.nn import functional

from eyeline.measuring.eye_patches import HEIGHT_PX, WIDTH_PX

MOST_BLUR_PX = 1.6
"""Strongest blur, sigma in pixels of a patch."""
REDUCED_TO = (0.28, 0.35, 0.45, 0.6, 0.8, 1.0)
"""Resolutions over a patch's own that files are reduced to; WHOLE_SHARE are not reduced at all."""
WHOLE_SHARE = 0.45
NOISE_LEVELS = 10.0
"""Strongest noise, deviation in 8-bit levels; RARELY_LEVELS in one of eight."""
RARELY_LEVELS = 25.0
QUALITY = (45.0, 96.0)
"""Range of JPEG's quality factor."""
RIMS_SHARE, REFLECTIONS_SHARE = 0.15, 0.12
"""Shares of the faces with drawn rims of glasses and with reflections."""

LUMINANCE = torch.tensor(
    [
        [16, 11, 10, 16, 24, 40, 51, 61],
        [12, 12, 14, 19, 26, 58, 60, 55],
        [14, 13, 16, 24, 40, 57, 69, 56],
        [14, 17, 22, 29, 51, 87, 80, 62],
        [18, 22, 37, 56, 68, 109, 103, 77],
        [24, 35, 55, 64, 81, 104, 113, 92],
        [49, 64, 78, 87, 103, 121, 120, 101],
        [72, 92, 95, 98, 112, 100, 103, 99],
    ]
).float()
"""Quantisation of luminance, ITU-T T.81 table K.1."""


@dataclass(frozen=True)
class Placement:
    """How far off the patch is cut. Deviations in pixels of a patch: `alone` an eye across and down, `both`
    together; of the logarithm of the `size`; of the `turn` in radians.
    """

    alone: tuple[float, float] = (0.8, 0.5)
    both: tuple[float, float] = (0.5, 0.65)
    size: float = 0.04
    turn: float = 0.035
    follow_across: tuple[float, float] = (0.02, 0.42)
    follow_down: tuple[float, float] = (0.08, 0.53)
    """Share of the iris' way by which the mesh's corners, and so the patch, follow a moved iris."""
    missed: float = 0.12
    missed_by: tuple[float, float] = (2.5, 6.5)
    """Share of the faces that the mesh misses, and by how much across and down: on dark skin in poor light it
    lies up to a third of the eye's width too low."""


class Spoiler:
    """Draws everything from one generator on one device."""

    def __init__(self, seed: int, device: torch.device) -> None:
        self.device = device
        self.generator = torch.Generator(device=device).manual_seed(seed)

    def uniform(self, *shape: int, low: float = 0.0, high: float = 1.0) -> Tensor:
        """Between `low` and `high`."""
        return low + (high - low) * torch.rand(*shape, generator=self.generator, device=self.device)

    def normal(self, *shape: int) -> Tensor:
        """Mean 0, deviation 1."""
        return torch.randn(*shape, generator=self.generator, device=self.device)

    def chance(self, probability: float, count: int) -> Tensor:
        """1 with `probability`, else 0, (count,)."""
        return (self.uniform(count) < probability).float()

    def spoilt(self, grey: Tensor, rough: Tensor) -> Tensor:
        """`grey` (n, 2, rows, columns) in levels; what is `rough` (n,) already only gets another tone."""
        fine = (~rough).float()
        grey = self.glasses(self.tone(grey, fine))
        blur = self.uniform(len(grey)) * MOST_BLUR_PX * DENSITY * self.chance(0.6, len(grey)) * fine
        grey = blurred(grey, blur)
        order = torch.randperm(len(grey), generator=self.generator, device=self.device)
        whole = int(WHOLE_SHARE * len(grey))
        parts = [order[:whole], *order[whole:].chunk(len(REDUCED_TO))]
        answer = torch.empty_like(grey)
        for scale, rows in zip((None, *REDUCED_TO), parts, strict=False):
            part, keep = grey[rows], rough[rows][:, None, None, None]
            stored = self.stored(part, scale)
            answer[rows] = torch.where(keep, part, stored)
        noise = self.uniform(len(grey), 1, 1, 1) * NOISE_LEVELS / 2
        return (answer + self.normal(*answer.shape) * noise).clamp(0, 255)

    def stored(self, grey: Tensor, scale: float | None) -> Tensor:
        """Reduced, sharpened, noisy, compressed, and enlarged again."""
        rows, columns = grey.shape[2:]
        small = grey
        if scale is not None:
            size = [max(16, 8 * round(side * scale / DENSITY / 8)) for side in (rows, columns)]
            small = functional.interpolate(grey, size, mode="bilinear", antialias=True, align_corners=False)
        count = len(small)
        sharpening = (self.chance(0.25, count) * self.uniform(count))[:, None, None, None]
        small = small + sharpening * (small - blurred(small, torch.full((count,), 1.0, device=self.device)))
        level = NOISE_LEVELS + (RARELY_LEVELS - NOISE_LEVELS) * self.chance(0.125, count)
        noise = self.uniform(count) * level * self.chance(0.7, count)
        small = (small + self.normal(*small.shape) * noise[:, None, None, None]).clamp(0, 255)
        packed = compressed(small, self.uniform(count, low=QUALITY[0], high=QUALITY[1]))
        small = torch.where(self.chance(0.7, count)[:, None, None, None] > 0, packed, small)
        if scale is None:
            return blurred(small, torch.full((count,), 0.5 * DENSITY, device=self.device))
        return functional.interpolate(small, (rows, columns), mode="bilinear", align_corners=False)

    def tone(self, grey: Tensor, fine: Tensor) -> Tensor:
        """Another exposure, curve and contrast, light from one side; both eyes alike but for that. What is
        not `fine` (n,) is changed less.
        """
        count = len(grey)
        much = 0.4 + 0.6 * fine

        def each(deviation: float) -> Tensor:
            return (self.normal(count) * deviation * much)[:, None, None, None]

        dark = fine * self.chance(0.08, count) * self.uniform(count, low=0.3, high=1.3)
        dark = dark[:, None, None, None]
        light = grey / 255 * torch.exp(each(0.25) - dark)
        light = light.clamp(1e-4, 1) ** torch.exp(each(0.28))
        light = (light - 0.5) * torch.exp(each(0.22)) + 0.5 + each(0.05)
        across = torch.linspace(-1, 1, grey.shape[3], device=self.device)
        side = self.normal(count)[:, None] * 0.2 + self.normal(count, 2) * 0.12
        return 255 * (light * torch.exp(side[:, :, None, None] * across)).clamp(0, 1)

    def glasses(self, grey: Tensor) -> Tensor:
        """Rims about the eye, and white reflections over it."""
        count, _, rows, columns = grey.shape
        y, x = torch.meshgrid(
            torch.arange(rows, device=self.device) - rows / 2,
            torch.arange(columns, device=self.device) - columns / 2,
            indexing="ij",
        )
        millimetre = WIDTH_PX * DENSITY / 42
        worn = self.chance(RIMS_SHARE, count)[:, None, None, None]
        half_x = self.uniform(count, 1, 1, 1, low=19, high=28) * millimetre
        half_y = self.uniform(count, 1, 1, 1, low=12, high=21) * millimetre
        middle_x = (self.normal(count, 1, 1, 1) * 3 - 2) * millimetre
        middle_y = (self.normal(count, 1, 1, 1) * 3 + 3) * millimetre
        power = self.uniform(count, 1, 1, 1, low=2, high=5)
        off = ((x - middle_x).abs() / half_x) ** power + ((y - middle_y).abs() / half_y) ** power
        away = (off ** (1 / power) - 1) * torch.minimum(half_x, half_y)
        width = self.uniform(count, 1, 1, 1, low=0.4, high=2.2) * millimetre
        cover = worn * torch.sigmoid((width - away.abs()) * 2) * self.uniform(count, 1, 1, 1, low=0.6)
        grey = grey * (1 - cover) + self.uniform(count, 1, 1, 1) ** 2 * 180 * cover
        for _ in range(2):
            shown = self.chance(REFLECTIONS_SHARE, count)[:, None, None, None]
            angle = self.uniform(count, 1, 1, 1, high=6.3)
            across = self.normal(count, 2, 1, 1) * 8 * millimetre
            down = self.normal(count, 2, 1, 1) * 5 * millimetre
            along = (x - across) * torch.cos(angle) + (y - down) * torch.sin(angle)
            beside = (y - down) * torch.cos(angle) - (x - across) * torch.sin(angle)
            long = self.uniform(count, 1, 1, 1, low=1, high=14) * millimetre
            wide = self.uniform(count, 1, 1, 1, low=0.6, high=4) * millimetre
            inside = torch.sigmoid((1 - torch.maximum(along.abs() / long, beside.abs() / wide)) * 8)
            cover = shown * inside * self.uniform(count, 1, 1, 1, low=0.1, high=0.9)
            grey = grey * (1 - cover) + 255 * cover
        return grey

    def cut(self, grey: Tensor, iris: Tensor, way: Tensor, placement: Placement) -> tuple[Tensor, Tensor]:
        """Patches (n, 2, 40, 64) and irises (n, 2, 2) in half widths of a patch about its middle."""
        count = len(grey)
        alone = self.normal(count, 2, 2) * torch.tensor(placement.alone, device=self.device)
        both = self.normal(count, 1, 2) * torch.tensor(placement.both, device=self.device)
        mirror = torch.tensor([[1.0, 1.0], [-1.0, 1.0]], device=self.device)
        follow = torch.stack(
            [
                self.uniform(count, 1, low=low, high=high)
                for low, high in (placement.follow_across, placement.follow_down)
            ],
            dim=2,
        )
        missed = self.chance(placement.missed, count)[:, None, None] * self.normal(count, 1, 2)
        both = both + missed * torch.tensor(placement.missed_by, device=self.device)
        shift = (alone + both * mirror + follow * way).clamp(-MARGIN_PX, MARGIN_PX)
        turn = self.normal(count, 2) * placement.turn
        size = torch.exp(self.normal(count, 2) * placement.size)
        cosine, sine = torch.cos(turn) * size, torch.sin(turn) * size
        linear = torch.stack([torch.stack([cosine, -sine], -1), torch.stack([sine, cosine], -1)], -2)
        middle = torch.tensor([(WIDTH_PX - 1) / 2, (HEIGHT_PX - 1) / 2], device=self.device)
        y, x = torch.meshgrid(
            torch.arange(HEIGHT_PX, device=self.device),
            torch.arange(WIDTH_PX, device=self.device),
            indexing="ij",
        )
        places = torch.stack([x, y], -1).float() - middle
        places = torch.einsum("neij,hwj->nehwi", linear, places) + (middle + shift)[:, :, None, None]
        dense = (places + MARGIN_PX) * DENSITY + (DENSITY - 1) / 2
        rows, columns = grey.shape[2:]
        dense = (2 * dense + 1) / torch.tensor([columns, rows], device=self.device) - 1
        patch = functional.grid_sample(
            grey.flatten(0, 1)[:, None], dense.flatten(0, 1), padding_mode="border", align_corners=False
        )
        inverse = torch.linalg.inv(linear)
        centred = torch.einsum("neij,nej->nei", inverse, iris - middle - shift) / (WIDTH_PX / 2)
        return patch.reshape(count, 2, HEIGHT_PX, WIDTH_PX), centred


def dense(grey: Tensor, density: int) -> Tensor:
    """`grey` (n, 2, rows, columns) of `density` in levels, brought to DENSITY."""
    grey = grey.float()
    if density == DENSITY:
        return grey
    return functional.interpolate(grey, scale_factor=DENSITY / density, mode="bilinear", align_corners=False)


def blurred(grey: Tensor, sigma: Tensor) -> Tensor:
    """`grey` (n, 2, rows, columns), each face by its Gaussian of `sigma` (n,) pixels, cut off at the
    edges.
    """
    across, down = (_gaussians(sigma, side) for side in (grey.shape[3], grey.shape[2]))
    return down[:, None] @ (grey @ across[:, None].transpose(2, 3))


def _gaussians(sigma: Tensor, side: int) -> Tensor:
    """Matrices (n, side, side) that blur a line of `side` pixels."""
    places = torch.arange(side, device=sigma.device)
    off = (places[:, None] - places).float()
    weight = torch.exp(-(off**2) / (2 * sigma.clamp_min(0.05)[:, None, None] ** 2))
    return weight / weight.sum(2, keepdim=True)


def compressed(grey: Tensor, quality: Tensor) -> Tensor:
    """`grey` (n, 2, rows, columns; multiples of 8) through JPEG's quantisation at `quality` (n,), without its
    colours.
    """
    k = torch.arange(8, device=grey.device).float()
    basis = torch.cos((2 * k[None, :] + 1) * k[:, None] * torch.pi / 16) * 0.5
    basis[0] /= 2**0.5
    scale = torch.where(quality < 50, 50 / quality, 2 - quality / 50)[:, None, None, None, None, None]
    table = (LUMINANCE.to(grey.device) * scale).clamp_min(1)
    count, eyes, rows, columns = grey.shape
    blocks = grey.reshape(count, eyes, rows // 8, 8, columns // 8, 8).transpose(3, 4) - 128
    waves = ((blocks @ basis.T).transpose(-1, -2) @ basis.T).transpose(-1, -2)
    waves = torch.round(waves / table) * table
    blocks = ((waves @ basis).transpose(-1, -2) @ basis).transpose(-1, -2) + 128
    return blocks.transpose(3, 4).reshape(count, eyes, rows, columns).clamp(0, 255)
