"""The eye network in PyTorch, to be trained; `eye_network.py` of eyeline computes the same in NumPy."""

from __future__ import annotations

import numpy as np
import torch
from torch import Tensor, nn
from torch.nn import functional

from eyeline.measuring.convolution import FLAT_LEVELS
from eyeline.measuring.eye_network import NEAR_PX, map_places
from eyeline.measuring.eye_patches import HEIGHT_PX, WIDTH_PX

CHANNELS, MAP, HIDDEN, JOINT = (12, 24, 32, 32), 12, 64, 32


class EyeNetwork(nn.Module):
    """The same as eye_network.py computes; per eye 8 answers: gaze across, up, trust, iris x, y (beside
    the middle of the map of where the iris is), lid opening, aperture, iris visible; for both 4: log errors
    across, up, open, closed.
    """

    def __init__(self) -> None:
        super().__init__()
        a, b, c, d = CHANNELS
        self.c1, self.c2 = nn.Conv2d(2, a, 3, 2, 1), nn.Conv2d(a, b, 3, 2, 1)
        self.c3, self.c4 = nn.Conv2d(b, c, 3, 1, 1), nn.Conv2d(c, d, 3, 2, 1)
        self.h1, self.h2 = nn.Conv2d(c, MAP, 3, 1, 1), nn.Conv2d(MAP, 1, 3, 1, 1)
        self.f = nn.Linear(d * (HEIGHT_PX // 8) * (WIDTH_PX // 8), HIDDEN)
        self.g, self.o = nn.Linear(HIDDEN + 2 + 5, HIDDEN), nn.Linear(HIDDEN, 8)
        self.s = nn.Linear(2 + 5, 2)
        self.j, self.jo = nn.Linear(2 * HIDDEN, JOINT), nn.Linear(JOINT, 4)
        self.drop = nn.Dropout(0.1)
        self.register_buffer("places", torch.from_numpy(map_places().astype(np.float32)), persistent=False)

    def forward(self, grey: Tensor, head: Tensor) -> tuple[Tensor, Tensor, Tensor]:
        """Gaze (n, 2), answers of each eye (n, 2, 8), answers for both (n, 4).

        `grey` (n, 2, 2, 40, 64) normalised in two ways, `head` (n, 2, 5).
        """
        count = len(grey)
        layer = grey.reshape(count * 2, 2, HEIGHT_PX, WIDTH_PX)
        for convolution in (self.c1, self.c2, self.c3):
            layer = functional.relu(convolution(layer))
        where = self.h2(functional.relu(self.h1(layer))).flatten(1)
        iris = torch.softmax(where, dim=1) @ self.places
        seen = self.drop(functional.relu(self.f(functional.relu(self.c4(layer)).flatten(1))))
        plain = torch.cat([iris, head.reshape(count * 2, -1)], dim=1)
        hidden = self.drop(functional.relu(self.g(torch.cat([seen, plain], dim=1))))
        eyes = self.o(hidden)
        eyes = torch.cat([eyes[:, :2] + self.s(plain), eyes[:, 2:3], eyes[:, 3:5] + iris, eyes[:, 5:]], dim=1)
        eyes = eyes.reshape(count, 2, 8)
        hidden = hidden.reshape(count, 2, HIDDEN)
        both = torch.cat([hidden.mean(1), (hidden[:, 0] - hidden[:, 1]).abs()], dim=1)
        trust = torch.softmax(eyes[:, :, 2], dim=1)
        side = torch.tensor([1.0, -1.0], device=grey.device)
        gaze = torch.stack([(trust * eyes[:, :, 0] * side).sum(1), (trust * eyes[:, :, 1]).sum(1)], dim=1)
        return gaze, eyes, self.jo(functional.relu(self.j(both)))


def head_of(angles: Tensor) -> Tensor:
    """What the network is given of the head, (n, 2, 5), from sines of yaw and pitch (n, 2)."""
    yaw, pitch = angles.T
    sides = [torch.stack([s * yaw, pitch, yaw**2, pitch * s * yaw, pitch**2], dim=1) for s in (1.0, -1.0)]
    return torch.stack(sides, dim=1)


def normalised(grey: Tensor) -> Tensor:
    """(n, 2, 40, 64) to (n, 2, 2, 40, 64), mean 0 and deviation about 1 patch by patch and, after that, about
    each pixel (eye_network.normalised).
    """
    whole = (grey - grey.mean((2, 3), keepdim=True)) / (grey.std((2, 3), keepdim=True) + FLAT_LEVELS)
    off = grey - smoothed(grey)
    near = off / (smoothed(off**2).clamp_min(0).sqrt() + FLAT_LEVELS)
    return torch.stack([whole, near], dim=2)


def smoothed(grey: Tensor) -> Tensor:
    """Mean over NEAR_PX × NEAR_PX pixels, edges repeated."""
    reach = NEAR_PX // 2
    mean = functional.pad(grey, (reach, reach, reach, reach), mode="replicate")
    mean = functional.avg_pool2d(mean, (NEAR_PX, 1), stride=1)
    return functional.avg_pool2d(mean, (1, NEAR_PX), stride=1)
