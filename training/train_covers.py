"""Train the network that tells what stands before a face: writes daemon/eyeline/measuring/covers.npz.

    python training/train_covers.py WHERE_THE_CROWD_IS [--looks FILE]

Needs torch (CPU is enough, about five minutes), which is no dependency of eyeline. Material: twelve looks at
each frame of the rendered crowd, five bare and seven with something drawn before the face (cover_looks.py).
Every fourth sitter (of 60, by name) is kept aside and reported on. No frame of `truth`, `tones`, `demo` or of
any photograph is looked at. --looks keeps the looks in a file.
"""

from __future__ import annotations

import argparse
from pathlib import Path

import numpy as np
import torch
from cover_looks import looks
from numpy.typing import NDArray
from replays import keep, shoot_faces
from torch import Tensor, nn
from torch.nn import functional

from eyeline.measuring.convolution import FLAT_LEVELS
from eyeline.measuring.face_patch import SIDE_PX, face_patch
from eyeline.measuring.face_shape import posture

TARGET = Path(__file__).parents[1] / "daemon/eyeline/measuring/covers.npz"
KEPT_ASIDE, SEED = 4, 3
EPOCHS, BATCH, RATE, DECAY = 14, 128, 4e-3, 2e-3
CHANNELS, HIDDEN = (12, 16, 24, 32), 48
NAMES = ("eye on the left", "eye on the right", "chin", "mouth")
COVERED, FREE = 0.5, 0.1
"""Share covered from which a part counts as covered, and up to which it counts as free; nothing is learnt
or counted of what lies between."""
SHIFT_PX = 4
"""Patches are shifted by up to so much: the mesh never lies the same."""


class CoverNetwork(nn.Module):
    """The same as covers.py computes for one side of the mirror: (n, 3, 80, 80) to log odds (n, 4)."""

    def __init__(self) -> None:
        super().__init__()
        before = 3
        for number, channels in enumerate(CHANNELS, 1):
            setattr(self, f"c{number}", nn.Conv2d(before, channels, 3, 2, 1))
            before = channels
        self.f = nn.Linear(before * (SIDE_PX // 16) ** 2, HIDDEN)
        self.o = nn.Linear(HIDDEN, len(NAMES))
        self.drop = nn.Dropout(0.2)

    def forward(self, layer: Tensor) -> Tensor:
        """Log odds of normalised patches."""
        for number in range(1, len(CHANNELS) + 1):
            layer = functional.relu(getattr(self, f"c{number}")(layer))
        return self.o(self.drop(functional.relu(self.f(self.drop(layer.flatten(1))))))


def normalised(patches: Tensor) -> Tensor:
    """As covers.cover_odds has it."""
    levels = patches - patches.mean((2, 3), keepdim=True)
    return levels / (levels.std((1, 2, 3), keepdim=True, unbiased=False) + FLAT_LEVELS)


def varied(patches: Tensor, share: Tensor, generator: torch.Generator) -> tuple[Tensor, Tensor]:
    """Patches under other light, colour, place and side, and their shares."""
    count = len(patches)

    def uniform(*shape: int) -> Tensor:
        return torch.rand(*shape, generator=generator)

    levels = patches.float() / 255
    grey = (levels * torch.tensor([0.299, 0.587, 0.114])[:, None, None]).sum(1, keepdim=True)
    levels = torch.where(uniform(count, 1, 1, 1) < 0.25, grey, levels)
    levels = grey + (levels - grey) * (0.6 + 0.9 * uniform(count, 1, 1, 1))
    levels = levels * (0.75 + 0.5 * uniform(count, 3, 1, 1))
    levels = levels.clamp(0.001, 1) ** torch.exp(0.3 * torch.randn(count, 1, 1, 1, generator=generator))
    shift = torch.randint(-SHIFT_PX, SHIFT_PX + 1, (2,), generator=generator).tolist()
    padded = functional.pad(levels, (SHIFT_PX,) * 4, mode="replicate")
    levels = padded[..., SHIFT_PX + shift[0] :, SHIFT_PX + shift[1] :][..., :SIDE_PX, :SIDE_PX]
    if uniform(1) < 0.5:
        levels, share = levels.flip(3), share[:, [1, 0, 2, 3]]
    return levels.clamp(0, 1) * 255, share


def trained(material: dict[str, NDArray], rows: NDArray[np.int64]) -> CoverNetwork:
    """A network trained on the looks `rows`."""
    torch.manual_seed(SEED)
    generator = torch.Generator().manual_seed(SEED)
    patches = torch.from_numpy(material["patch"][rows]).permute(0, 3, 1, 2).contiguous()
    shares = torch.from_numpy(material["share"][rows]).float()
    network = CoverNetwork()
    optimiser = torch.optim.AdamW(network.parameters(), lr=RATE, weight_decay=DECAY)
    steps = EPOCHS * -(-len(rows) // BATCH)
    schedule = torch.optim.lr_scheduler.OneCycleLR(optimiser, RATE, total_steps=steps)
    for epoch in range(EPOCHS):
        order, total = torch.randperm(len(rows), generator=generator), 0.0
        for start in range(0, len(order), BATCH):
            batch = order[start : start + BATCH]
            levels, share = varied(patches[batch], shares[batch], generator)
            known = ((share >= COVERED) | (share <= FREE)).float()
            loss = functional.binary_cross_entropy_with_logits(
                network(normalised(levels)), (share >= COVERED).float(), weight=known
            )
            optimiser.zero_grad()
            loss.backward()
            optimiser.step()
            schedule.step()
            total += loss.item() * len(batch)
        print(f"epoch {epoch + 1} of {EPOCHS}: loss {total / len(order):.4f}", flush=True)
    return network.eval()


def scores(network: CoverNetwork, patches: NDArray[np.uint8]) -> NDArray[np.float32]:
    """Log odds (n, 4), the mean of both sides of the mirror."""
    answers = []
    with torch.no_grad():
        for start in range(0, len(patches), 512):
            levels = normalised(torch.from_numpy(patches[start : start + 512]).permute(0, 3, 1, 2).float())
            mirrored = network(levels.flip(3))[:, [1, 0, 2, 3]]
            answers.append(((network(levels) + mirrored) / 2).numpy())
    return np.concatenate(answers)


def report(material: dict[str, NDArray], rows: NDArray[np.int64], said: NDArray[np.float32]) -> None:
    """False alarms and misses of sitters left out, at several thresholds."""
    share, bare, worse = (material[name][rows] for name in ("share", "bare", "degraded"))
    for part, name in enumerate(NAMES):
        covered, free = share[:, part] >= COVERED, share[:, part] <= FREE
        print(name, f"{covered.sum()} covered, {(free & bare).sum()} bare, {(free & ~bare).sum()} elsewhere")
        for least in (0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0):
            alarm = said[:, part] >= least
            print(
                f"  from {least:.0f}: caught {alarm[covered].mean():.3f}, false bare "
                f"{alarm[free & bare].mean():.4f} (plain {alarm[free & bare & ~worse].mean():.4f}), "
                f"false beside a cover {alarm[free & ~bare].mean():.4f}"
            )


def record() -> None:
    """Keep what the stored weights answer here, for the test that the package answers the same."""
    with np.load(TARGET) as stored:
        state = {name: torch.from_numpy(stored[name].astype(np.float32)) for name in stored.files}
    network = CoverNetwork()
    network.load_state_dict(state)
    patches = [
        face_patch(picture.rgb, landmarks, posture(landmarks))[0] for picture, landmarks in shoot_faces()
    ]
    inputs = np.stack([*patches, *(each // 4 for each in patches[:1])])  # and one far too dark
    keep("covers", patches=inputs, odds=scores(network.eval(), inputs))


def main() -> None:
    """Train, write the weights, and report on the sitters kept aside."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("crowd", type=Path, nargs="?")
    parser.add_argument("--looks", type=Path)
    parser.add_argument("--record", action="store_true", help="only keep anew what the weights answer")
    arguments = parser.parse_args()
    if arguments.record:
        record()
        return
    torch.set_num_threads(1)
    if arguments.looks and arguments.looks.exists():
        with np.load(arguments.looks) as stored:
            material = dict(stored)
    else:
        material = looks(arguments.crowd, SEED)
        if arguments.looks:
            np.savez(arguments.looks, **material)
    place = np.searchsorted(np.unique(material["sitter"]), material["sitter"])
    aside = place % KEPT_ASIDE == 0
    network = trained(material, np.flatnonzero(~aside))
    weights = {name: each.numpy().astype(np.float16) for name, each in network.state_dict().items()}
    np.savez(TARGET, **weights)
    record()
    rows = np.flatnonzero(aside)
    report(material, rows, scores(network, material["patch"][rows]))


if __name__ == "__main__":
    main()
