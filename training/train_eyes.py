"""Train the two networks that look at the eyes: writes daemon/eyeline/measuring/eyes.npz.

    python training/train_eyes.py WHERE_THE_CROWD_IS [--looks FILE] [--fold 0 to 3]

Needs torch (CPU is enough, about ten minutes), which is no dependency of eyeline. Material: nine looks at
each frame of the rendered crowd (crowd_looks.py), each painted over six times (painted_eyes.py). With --fold,
every fourth sitter (of 60, by name) is left out and reported on, and nothing is written but what is said of
them, which calibrate_eyes.py reads; without, all are trained on.
No frame of `truth`, `tones`, `demo` or of any photograph is looked at. --looks keeps the looks in a file.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import torch
from crowd_looks import FOR_EYES, MARGIN_PX, kept_looks
from numpy.typing import NDArray
from painted_eyes import CENTRE, Eyes, Painter
from torch import Tensor, nn
from torch.nn import functional

from eyeline.measuring.convolution import FLAT_LEVELS
from eyeline.measuring.eye_network import IRIS, NEAR_PX, OUTLINE, map_places
from eyeline.measuring.eye_patches import HEIGHT_PX, WIDTH_PX
from eyeline.measuring.face_shape import posture, usual_face
from eyeline.measuring.head import corrected_angles
from eyeline.measuring.rotation import decompose

TARGET = Path(__file__).parents[1] / "daemon/eyeline/measuring/eyes.npz"
FOLDS, PAINTINGS, SEEDS = 4, 6, (7, 11)
EPOCHS, BATCH, RATE, DECAY = 36, 128, 4e-3, 2e-3
POINTS = len(OUTLINE) + len(IRIS)
CHANNELS, MAP, HIDDEN, JOINT = (8, 16, 24, 24), 12, 48, 24
LENS_DEG, LENS_WEIGHT, STEEP_DEG, STEEP_WEIGHT = 1.0, 0.35, 10.0, 3.0
"""Two in five frames look exactly into the lens and few look up or down: counted alike, a network
answers "into the lens" whenever the lids hide much of the iris."""
HEAD_NOISE = 0.03
"""Noise on the head's angles (sines): the network shall not lean on them to the tenth of a degree."""
LEAST_NOD_DEG, MOST_NOD_DEG = -3.0, 13.0
"""Range of what is added to the head's pitch, face by face. The rendered sitters' own level lies 5 to 11
degrees (by sitter) off that of the canonical face, which stands for people: the network shall look at eyes
for the height of the gaze, since the head's own zero is not the same in all."""
NOD_DEG = 10.5
"""Where people's level lies among those (train_head.PITCH_OF_REST_DEG)."""
POINT_NOISE, IRIS_NOISE = 0.01, 0.03
"""Shift of all points of an eye and of the mesh's iris beside them, in half widths of a patch."""
TONE_TIMES = {8: 2, 9: 4, 10: 2}
"""How often the looks of the darker sitters are shown: the crowd has few of them."""


class EyeNetwork(nn.Module):
    """The same as eye_network.py computes; per eye 9 answers: gaze across, up, trust, iris x, y (beside
    the middle of the map of where the iris is), lid opening, aperture, iris visible, one unused; for
    both 4: log errors across, up, open, closed.
    """

    def __init__(self) -> None:
        super().__init__()
        a, b, c, d = CHANNELS
        self.c1, self.c2 = nn.Conv2d(2, a, 3, 2, 1), nn.Conv2d(a, b, 3, 2, 1)
        self.c3, self.c4 = nn.Conv2d(b, c, 3, 1, 1), nn.Conv2d(c, d, 3, 2, 1)
        self.h1, self.h2 = nn.Conv2d(c, MAP, 3, 1, 1), nn.Conv2d(MAP, 1, 3, 1, 1)
        self.f = nn.Linear(d * (HEIGHT_PX // 8) * (WIDTH_PX // 8), HIDDEN)
        self.g, self.o = nn.Linear(HIDDEN + 2 + 2 * POINTS + 5, HIDDEN), nn.Linear(HIDDEN, 9)
        self.j, self.jo = nn.Linear(2 * HIDDEN, JOINT), nn.Linear(JOINT, 4)
        self.drop = nn.Dropout(0.15)
        self.places = torch.from_numpy(map_places().astype(np.float32))

    def forward(self, grey: Tensor, points: Tensor, head: Tensor) -> tuple[Tensor, Tensor, Tensor]:
        """Gaze (n, 2), answers of each eye (n, 2, 9), answers for both (n, 4).

        `grey` (n, 2, 2, 40, 64) normalised in two ways, `points` (n, 2, 21, 2), `head` (n, 2, 5).
        """
        count = len(grey)
        layer = grey.reshape(count * 2, 2, HEIGHT_PX, WIDTH_PX)
        for convolution in (self.c1, self.c2, self.c3):
            layer = functional.relu(convolution(layer))
        where = self.h2(functional.relu(self.h1(layer))).flatten(1)
        iris = torch.softmax(where, dim=1) @ self.places
        seen = self.drop(functional.relu(self.f(functional.relu(self.c4(layer)).flatten(1))))
        joined = torch.cat([seen, iris, points.reshape(count * 2, -1), head.reshape(count * 2, -1)], dim=1)
        hidden = self.drop(functional.relu(self.g(joined)))
        eyes = self.o(hidden)
        eyes = torch.cat([eyes[:, :3], eyes[:, 3:5] + iris, eyes[:, 5:]], dim=1).reshape(count, 2, 9)
        hidden = hidden.reshape(count, 2, HIDDEN)
        both = torch.cat([hidden.mean(1), (hidden[:, 0] - hidden[:, 1]).abs()], dim=1)
        trust = torch.softmax(eyes[:, :, 2], dim=1)
        side = torch.tensor([1.0, -1.0])
        gaze = torch.stack([(trust * eyes[:, :, 0] * side).sum(1), (trust * eyes[:, :, 1]).sum(1)], dim=1)
        return gaze, eyes, self.jo(functional.relu(self.j(both)))


class Material:
    """Inputs and truth of every look, in the network's own units."""

    def __init__(self, looks: dict[str, NDArray]) -> None:
        landmarks, to_picture = looks["landmarks"], looks["to_picture"]
        middle = np.array([(WIDTH_PX - 1) / 2, (HEIGHT_PX - 1) / 2])
        left = np.array(OUTLINE + IRIS)
        indices = (left, usual_face().mirror[left])
        into = np.linalg.inv(to_picture[..., :2])
        shift = to_picture[..., 2]

        def centred(points: NDArray, eye: int) -> NDArray:
            inside = np.einsum("nij,nkj->nki", into[:, eye], points - shift[:, eye, None])
            return np.asarray((inside - middle) / (WIDTH_PX / 2), np.float32)

        self.points = np.stack([centred(landmarks[:, indices[e], :2], e) for e in (0, 1)], axis=1)
        self.iris = np.stack([centred(looks["pupil"][:, e, None], e)[:, 0] for e in (0, 1)], axis=1)
        faces = [posture(each) for each in landmarks]
        self.roll = np.radians([decompose(face.rotation)[2] for face in faces])
        yaw, pitch, _ = np.sin(np.radians([corrected_angles(face) for face in faces])).T
        self.angles = np.stack([yaw, pitch], axis=1).astype(np.float32)
        self.tone = looks["tone"]
        across, up = np.radians(looks["gaze"]).T
        x, y = np.sin(across) * np.cos(up), np.sin(up)
        cosine, sine = np.cos(self.roll), np.sin(self.roll)
        self.gaze = np.stack([cosine * x - sine * y, sine * x + cosine * y], axis=1).astype(np.float32)
        self.patch = looks["patch"]
        self.opening, self.aperture, self.visible = (
            looks[name].astype(np.float32) for name in ("opening", "aperture", "iris_visible")
        )
        self.open, self.closed = ((looks["eyes"] == word).astype(np.float32) for word in ("open", "closed"))
        weight = np.where(abs(looks["gaze"]).max(axis=1) < LENS_DEG, LENS_WEIGHT, 1.0)
        weight[abs(looks["gaze"][:, 1]) > STEEP_DEG] = STEEP_WEIGHT
        self.weight = weight.astype(np.float32)
        names = np.unique(looks["sitter"])
        self.fold = np.searchsorted(names, looks["sitter"]) % FOLDS


def painted(material: Material, painter: Painter) -> list[tuple[NDArray, NDArray, NDArray]]:
    """Patches (uint8), landmarks and irises of every look, painted over PAINTINGS times."""
    answer = []
    for _ in range(PAINTINGS):
        parts = []
        for start in range(0, len(material.patch), 256):
            rows = slice(start, start + 256)
            pairs = len(material.patch[rows])
            eyes = painter.paint(
                Eyes(
                    torch.from_numpy(material.patch[rows]).float().flatten(0, 1),
                    torch.from_numpy(material.points[rows]).reshape(-1, POINTS, 2),
                    torch.from_numpy(material.iris[rows]).reshape(-1, 2),
                )
            )
            parts.append(
                (
                    eyes.grey.clamp(0, 255).round().byte().numpy().reshape(pairs, 2, HEIGHT_PX, WIDTH_PX),
                    eyes.points.numpy().reshape(pairs, 2, POINTS, 2),
                    eyes.iris.numpy().reshape(pairs, 2, 2),
                )
            )
        answer.append(tuple(np.concatenate(each) for each in zip(*parts, strict=True)))
    return answer


def head_of(angles: Tensor) -> Tensor:
    """What the network is told of the head, (n, 2, 5), from sines of yaw and pitch (n, 2)."""
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


def loss_of(
    network: EyeNetwork, inputs: tuple[Tensor, Tensor, Tensor], iris: Tensor, truth: dict[str, Tensor]
) -> Tensor:
    """Likelihood of the gaze (Laplace), plus what each eye says of itself, plus open and closed."""
    gaze, eyes, both = network(*inputs)
    visible = truth["visible"]
    counted = visible.max(1).values
    counted = (counted >= 0.1).float() * counted.clamp_min(0).sqrt() * truth["weight"]
    spread = both[:, :2].clamp(-5, 0.5)
    missed = (gaze - truth["gaze"]).abs() / torch.exp(spread)
    loss = 0.5 * (counted[:, None] * (missed * 2**0.5 + spread)).mean()
    side = torch.tensor([1.0, -1.0])
    own = torch.stack([truth["gaze"][:, None, 0] * side, truth["gaze"][:, None, 1].expand(-1, 2)], dim=2)
    far = functional.smooth_l1_loss
    clear = visible.clamp(0, 1)[..., None]
    weighed = clear * truth["weight"][:, None, None]
    loss = loss + 4 * (weighed * far(eyes[..., :2], own, reduction="none", beta=0.05)).mean()
    loss = loss + 16 * ((clear + 0.1) * far(eyes[..., 3:5], iris, reduction="none", beta=0.03)).mean()
    loss = loss + 4 * far(eyes[..., 5], truth["opening"], beta=0.03)
    loss = loss + far(eyes[..., 6], truth["aperture"], beta=0.1) + far(eyes[..., 7], visible, beta=0.1)
    entropy = functional.binary_cross_entropy_with_logits
    return loss + 0.5 * (entropy(both[:, 2], truth["open"]) + entropy(both[:, 3], truth["closed"]))


def trained(material: Material, rows: NDArray[np.int64], seed: int) -> EyeNetwork:
    """A network trained on the looks `rows`, painted over and shuffled by `seed`."""
    torch.manual_seed(seed)
    painter = Painter(seed)
    paintings = painted(material, painter)
    network = EyeNetwork()
    optimiser = torch.optim.AdamW(network.parameters(), lr=RATE, weight_decay=DECAY)
    truth = {
        name: torch.from_numpy(getattr(material, name))
        for name in ("gaze", "weight", "visible", "opening", "aperture", "open", "closed")
    }
    angles = torch.from_numpy(material.angles)
    rows = np.repeat(rows, [TONE_TIMES.get(int(tone), 1) for tone in material.tone[rows]])
    steps = EPOCHS * -(-len(rows) // BATCH)
    schedule = torch.optim.lr_scheduler.OneCycleLR(optimiser, RATE, total_steps=steps)
    for epoch in range(EPOCHS):
        order = np.random.default_rng(seed + epoch).permutation(rows)
        grey, points, irises = paintings[epoch % PAINTINGS]
        total = 0.0
        for start in range(0, len(order), BATCH):
            batch = order[start : start + BATCH]
            count = len(batch)
            levels = torch.from_numpy(grey[batch]).float()
            levels = levels + painter.normal(*levels.shape) * painter.uniform(count, 1, 1, 1) * 4
            iris = torch.from_numpy(irises[batch])
            inputs = (
                normalised(levels),
                unsettled(torch.from_numpy(points[batch]), painter),
                head_of(nodding(angles[batch], painter)) + painter.normal(count, 2, 5) * HEAD_NOISE,
            )
            loss = loss_of(network, inputs, iris, {name: each[batch] for name, each in truth.items()})
            optimiser.zero_grad()
            loss.backward()
            optimiser.step()
            schedule.step()
            total += loss.item() * count
        print(f"epoch {epoch + 1} of {EPOCHS}: loss {total / len(order):.3f}", flush=True)
    return network.eval()


def unsettled(points: Tensor, painter: Painter) -> Tensor:
    """`points` (n, 2, 21, 2), those of an eye shifted together, its iris once more."""
    count = len(points)
    shift = painter.normal(count, 2, 1, 2) * POINT_NOISE
    iris = painter.normal(count, 2, 1, 2) * IRIS_NOISE
    return points + torch.cat([shift.expand(-1, -1, CENTRE, -1), (shift + iris).expand(-1, -1, 5, -1)], dim=2)


def nodding(angles: Tensor, painter: Painter) -> Tensor:
    """Sines of yaw and pitch (n, 2), the pitch off by a random angle between the two NOD_DEG."""
    off = LEAST_NOD_DEG + (MOST_NOD_DEG - LEAST_NOD_DEG) * painter.uniform(len(angles))
    pitch = torch.sin(torch.asin(angles[:, 1]) + torch.deg2rad(off))
    return torch.stack([angles[:, 0], pitch], dim=1)


def predictions(
    networks: Sequence[EyeNetwork], material: Material, rows: NDArray[np.int64], nod_deg: float = 0.0
) -> dict[str, NDArray]:
    """What the networks say in the mean about the unpainted looks `rows`, the head's pitch off by
    `nod_deg`.
    """
    angles = np.sin(np.arcsin(material.angles) + np.radians([0, nod_deg])).astype(np.float32)
    answers: dict[str, list[NDArray]] = {"gaze": [], "eyes": [], "both": []}
    with torch.no_grad():
        for start in range(0, len(rows), 512):
            batch = rows[start : start + 512]
            inputs = (
                normalised(torch.from_numpy(without_margin(material.patch[batch])).float()),
                torch.from_numpy(material.points[batch]),
                head_of(torch.from_numpy(angles[batch])),
            )
            said = [network(*inputs) for network in networks]
            for name, parts in zip(answers, zip(*said, strict=True), strict=True):
                answers[name].append(torch.stack(parts).mean(0).numpy())
    return {"rows": rows} | {name: np.concatenate(parts) for name, parts in answers.items()}


def without_margin(patch: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """What the network looks at of patches with crowd_looks.MARGIN_PX about them."""
    return np.ascontiguousarray(patch[..., MARGIN_PX:-MARGIN_PX, MARGIN_PX:-MARGIN_PX])


def main() -> None:
    """Train on all and write the weights, or on three folds and write what is said of the fourth."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("crowd", type=Path)
    parser.add_argument("--looks", type=Path)
    parser.add_argument("--fold", type=int, choices=range(FOLDS))
    arguments = parser.parse_args()
    torch.set_num_threads(1)
    material = Material(kept_looks(arguments.crowd, arguments.looks, FOR_EYES))
    every = np.arange(len(material.patch))
    left_out = every[material.fold == (-1 if arguments.fold is None else arguments.fold)]
    networks = [trained(material, np.setdiff1d(every, left_out), seed) for seed in SEEDS]
    if arguments.fold is None:
        weights = {
            f"{k}.{name}": each.numpy().astype(np.float16)
            for k, network in enumerate(networks)
            for name, each in network.state_dict().items()
        }
        np.savez(TARGET, **weights)
    else:
        said = predictions(networks, material, left_out)
        nodded = {
            f"nodded_{name}": each
            for name, each in predictions(networks, material, left_out, NOD_DEG).items()
        }
        np.savez(f"eyes_fold{arguments.fold}.npz", **said, **nodded)


if __name__ == "__main__":
    main()
