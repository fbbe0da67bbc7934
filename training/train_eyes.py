"""Train the networks that look at the eyes: writes daemon/eyeline/measuring/eyes.npz and what a test
replays, and prints the constants that go with them.

python training/train_eyes.py SHARED

SHARED: the folder with `real/` and `portraits/crowd/`. Needs torch, which is no dependency of eyeline; six
minutes on a large GPU, a night on a CPU. Material: eye_looks.py, spoilt anew at every step
(spoilt_patches.py). Of the studio's sitters, of the portraits and of the crowd a part is never trained on;
what the networks say of those left out levels them (levelling.py), and calibrate_eyes.py prints the
constants of gaze.py and eyes.py from it."""

from __future__ import annotations

import argparse
import time
from math import cos, inf, pi
from pathlib import Path

import numpy as np
import torch
from calibrate_eyes import print_constants
from eye_looks import Looks
from levelling import level_of
from material import material
from numpy.typing import NDArray
from spoilt_patches import DENSITY, Placement, Spoiler, blurred, dense
from torch import Tensor, nn
from torch.nn import functional
from torch_network import EyeNetwork, head_of, normalised

from eyeline.measuring.eye_patches import eye_patches
from eyeline.measuring.face_shape import posture
from eyeline.measuring.rotation import decompose

TARGET = Path(__file__).parents[1] / "daemon/eyeline/measuring/eyes.npz"
SEEDS = [11, 13]
ROUNDS = ((2750, 3e-3), (3160, 2e-3))
"""Steps and highest learning rate of each round, over which the rate rises and falls."""
BATCH, DECAY = 512, 3e-3
MOVED_SHARE = 0.55
"""Share of a batch that real eyes take; renders take the rest."""
HEAD_OFF = (0.14, 0.10)
HEAD_COUNTS = (0.60, 0.45)
HEAD_NOISE = (0.025, 0.03)
"""The head is given off by a random angle of these deviations (sines of yaw and pitch), and the gaze asked
for moves by so much of it: with the iris where it is in the eye, a turn of the head turns the gaze by the
depth of the eye's corners over that of the ball's centre (6.3 mm of 9.7); less up and down, where faces' own
shapes make the head's pitch uncertain (errors in variables)."""
STEEP = 0.17
"""Sine of the gaze up or down from which its height counts twice: few look so far, and lids hide the iris."""
LEAST_VISIBLE = 0.1
"""Share of the iris below which a look teaches nothing about the gaze."""
STRAIGHT = Placement((0, 0), (0, 0), 0.0, 0.0, (0.22, 0.22), (0.3, 0.3), 0.0)
"""How looks left out are cut: without chance, the patch following the iris as the mesh does in the mean."""


class Truth:
    """What is asked of each look, as tensors on one device."""

    def __init__(self, looks: Looks, device: torch.device) -> None:
        self.density = looks.density
        self.count = len(looks.gaze)
        self.held: dict[str, Tensor] = {
            name: torch.from_numpy(each).to(device)
            for name, each in looks.arrays().items()
            if each.dtype.kind in "fbu"
        }

    def __getitem__(self, name: str) -> Tensor:
        return self.held[name]

    def batch(self, rows: Tensor) -> dict[str, Tensor]:
        """The looks `rows`."""
        return {name: each[rows] for name, each in self.held.items()}


def loss_of(
    network: EyeNetwork, inputs: tuple[Tensor, Tensor], iris: Tensor, truth: dict[str, Tensor]
) -> Tensor:
    """Likelihood of the gaze (Laplace), plus what each eye says of itself, plus open and closed."""
    gaze, eyes, both = network(*inputs)
    visible = truth["visible"]
    counted = visible.max(1).values
    counted = (counted >= LEAST_VISIBLE).float() * counted.clamp_min(0).sqrt()
    steep = 1 + (truth["gaze"][:, 1].abs() > STEEP).float()
    counted = torch.stack([counted, counted * steep * truth["pitch_weight"]], dim=1)
    spread = both[:, :2].clamp(-5, 0.5)
    missed = (gaze - truth["gaze"]).abs() / torch.exp(spread)
    loss = 0.5 * (counted * (missed * 2**0.5 + spread)).mean()
    side = torch.tensor([1.0, -1.0], device=gaze.device)
    own = torch.stack([truth["gaze"][:, None, 0] * side, truth["gaze"][:, None, 1].expand(-1, 2)], dim=2)
    far = functional.smooth_l1_loss
    clear = visible.clamp(0, 1)[..., None]
    weighed = clear * counted[:, None, :]
    loss = loss + 4 * (weighed * far(eyes[..., :2], own, reduction="none", beta=0.05)).mean()
    loss = loss + 16 * ((clear + 0.05) * far(eyes[..., 3:5], iris, reduction="none", beta=0.03)).mean()
    loss = loss + 4 * far(eyes[..., 5], truth["opening"], beta=0.03)
    loss = loss + far(eyes[..., 6], truth["aperture"], beta=0.1) + far(eyes[..., 7], visible, beta=0.1)
    entropy = functional.binary_cross_entropy_with_logits
    return loss + 0.5 * (entropy(both[:, 2], truth["open"]) + entropy(both[:, 3], truth["closed"]))


def trained(
    networks: list[EyeNetwork],
    parts: list[Truth],
    shares: list[float],
    rate: float,
    steps: int,
    most_seconds: float,
    spoiler: Spoiler,
) -> None:
    """Train `networks` on `parts`, of which each batch takes `shares`. All see the same batches. Ends after
    so many `steps`, or sooner so as to keep to `most_seconds`.
    """
    optimisers = [torch.optim.AdamW(each.parameters(), lr=rate, weight_decay=DECAY) for each in networks]
    totals = torch.zeros(len(networks), device=spoiler.device)
    started, progress, step = time.monotonic(), 0.0, 0
    while progress < 1:
        step += 1
        progress = max(step / steps, (time.monotonic() - started) / most_seconds)
        batch = _batch(parts, shares, spoiler)
        for k, (network, optimiser) in enumerate(zip(networks, optimisers, strict=True)):
            optimiser.param_groups[0]["lr"] = rate * rate_at(progress)
            loss = loss_of(network, *batch)
            optimiser.zero_grad()
            loss.backward()
            nn.utils.clip_grad_norm_(network.parameters(), 5.0)
            optimiser.step()
            totals[k] += loss.detach()
        if step % 500 == 0 or progress >= 1:
            told = " ".join(f"{each / (step % 500 or 500):.3f}" for each in totals.tolist())
            print(f"step {step} of {steps}, {time.monotonic() - started:.0f} s: loss {told}", flush=True)
            totals.zero_()
    for network in networks:
        network.eval()


def begun(seed: int, device: torch.device) -> EyeNetwork:
    """A network at random by `seed`."""
    torch.manual_seed(seed)
    return EyeNetwork().to(device)


def rate_at(progress: float) -> float:
    """Share of the learning rate: rises over the first tenth, then falls as a cosine to nothing."""
    if progress < 0.1:
        return 0.04 + 0.96 * progress / 0.1
    return 0.5 * (1 + cos(pi * min(1.0, (progress - 0.1) / 0.9)))


Batch = tuple[tuple[Tensor, Tensor], Tensor, dict[str, Tensor]]
"""What a network is given, irises in the patches, truth."""


def _batch(parts: list[Truth], shares: list[float], spoiler: Spoiler) -> Batch:
    """BATCH looks drawn from `parts` by `shares`, spoilt, cut, with the head off at random."""
    device, drawn, greys = spoiler.device, [], []
    for part, share in zip(parts, shares, strict=True):
        rows = torch.randint(part.count, (round(share * BATCH),), generator=spoiler.generator, device=device)
        drawn.append(part.batch(rows))
        greys.append(dense(drawn[-1].pop("grey"), part.density))
    truth = {name: torch.cat([each[name] for each in drawn]) for name in drawn[0]}
    grey = spoiler.spoilt(torch.cat(greys), truth["rough"])
    patch, iris = spoiler.cut(grey, truth["iris"], truth["way"], Placement())
    count = len(patch)
    off = spoiler.normal(count, 2) * torch.tensor(HEAD_OFF, device=device)
    noise = spoiler.normal(count, 2) * torch.tensor(HEAD_NOISE, device=device)
    truth["gaze"] = truth["gaze"] + off * torch.tensor(HEAD_COUNTS, device=device)
    return (normalised(patch), head_of(truth["head"] + off + noise)), iris, truth


def answers(
    network: EyeNetwork, part: Truth, spoil: Spoiler | None, device: torch.device
) -> dict[str, NDArray]:
    """What the network says of every look of `part`, cut straight, spoilt by `spoil` or not."""
    cutter = Spoiler(0, device)
    parts: list[tuple[Tensor, Tensor, Tensor]] = []
    with torch.no_grad():
        for rows in torch.arange(part.count, device=device).split(256):
            truth = part.batch(rows)
            grey = dense(truth["grey"], part.density)
            if spoil is not None:
                grey = spoil.spoilt(grey, truth["rough"])
            elif part.density > 1:
                grey = blurred(grey, torch.full((len(grey),), 0.5 * DENSITY, device=device))
            patch, _ = cutter.cut(grey, truth["iris"], truth["way"], STRAIGHT)
            parts.append(network(normalised(patch), head_of(truth["head"])))
    gaze, eyes, both = (torch.cat(each).cpu().numpy() for each in zip(*parts, strict=True))
    return {"gaze": gaze, "eyes": eyes, "both": both}


def report(name: str, said: dict[str, NDArray], looks: Looks) -> None:
    """Print what the figures of the looks left out are."""
    clear = (looks.visible.max(1) >= 0.35) & (looks.open > 0)
    off = np.degrees(np.arcsin(np.clip(said["gaze"], -1, 1)) - np.arcsin(looks.gaze))[clear]
    slopes = [np.polyfit(looks.gaze[clear, k], said["gaze"][clear, k], 1)[0] for k in (0, 1)]
    score = said["both"][:, 2]
    known = (looks.open > 0) | (looks.visible.max(1) < 0.5)
    open_ = (looks.open > 0) & (looks.visible.max(1) >= 0.35)
    limit = np.quantile(score[open_], 0.01)
    print(
        f"{name}: {clear.sum()} looks, slope {slopes[0]:.3f} {slopes[1]:.3f}, mean error"
        f" {abs(off[:, 0]).mean():.2f} {abs(off[:, 1]).mean():.2f}, bias {off[:, 0].mean():+.2f}"
        f" {off[:, 1].mean():+.2f}, angle {np.median(np.hypot(*off.T)):.2f}; open below a half"
        f" {np.mean(score[open_] < 0):.4f}, closed caught at 1 %"
        f" {np.mean(score[looks.closed > 0] < limit):.3f}, not open caught"
        f" {np.mean(score[known & (looks.open == 0)] < limit):.3f}",
        flush=True,
    )


def main() -> None:
    """Train on what is not left out; write the weights and what is said of what is left out."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("shared", type=Path)
    parser.add_argument("--seeds", type=int, nargs="+", default=SEEDS)
    parser.add_argument("--most-steps", type=int, help="end each round after so many: a trial")
    parser.add_argument("--seconds", type=float, default=inf, help="learn no longer than that")
    parser.add_argument("--kept", type=Path, default=Path("kept"), help="folder for what takes long to make")
    parser.add_argument("--out", type=Path, default=Path(), help="folder for what is said of people left out")
    parser.add_argument("--target", type=Path, default=TARGET, help="where the weights go")
    arguments = parser.parse_args()
    looks = material(arguments.shared, arguments.kept)
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    taught = [Truth(each.part(~each.held_out), device) for each in looks]
    shares = [MOVED_SHARE, 1 - MOVED_SHARE]
    networks = [begun(seed, device) for seed in arguments.seeds]
    whole = sum(steps for steps, _ in ROUNDS)
    for number, (steps, rate) in enumerate(ROUNDS):
        most = min(steps, arguments.most_steps or steps)
        spoiler = Spoiler(arguments.seeds[0] + number, device)
        trained(networks, taught, shares, rate, most, arguments.seconds * steps / whole, spoiler)
    raw = [
        {name: each.cpu().numpy().astype(np.float16) for name, each in network.state_dict().items()}
        for network in networks
    ]
    said = [left_out(network, looks, device) for network in networks]
    arguments.out.mkdir(parents=True, exist_ok=True)
    for seed, each in zip(arguments.seeds, said, strict=True):
        np.savez_compressed(arguments.out / f"said_{seed}.npz", **each)
    level = level_of(said)
    stored = {
        f"{k}.{name}": each
        for k, weights in enumerate(raw)
        for name, each in level.in_weights(weights).items()
    }
    np.savez(arguments.target, **stored)
    print_constants(said)
    if arguments.target == TARGET:
        record(stored)


def record(stored: dict[str, NDArray]) -> None:
    """Keep what the networks with the weights `stored` say of faces of the shoot, for a test to replay."""
    from replays import keep, shoot_faces

    grey, head = [], []
    for picture, landmarks in shoot_faces():
        face = posture(landmarks)
        grey.append(np.stack([patch.grey for patch in eye_patches(picture.rgb, landmarks, face)]))
        head.append(np.sin(np.radians(decompose(face.rotation)[:2])))
    levels = np.rint(np.clip(grey, 0, 255)).astype(np.uint8)
    angles = np.array(head, np.float32)
    keep("eyes", grey=levels, head=angles, **replayed(stored, levels, angles))


def replayed(stored: dict[str, NDArray], levels: NDArray, angles: NDArray) -> dict[str, NDArray]:
    """Answers of every network in `stored` to patches `levels` (n, 2, 40, 64), heads `angles` (n, 2)."""
    answers: dict[str, list[NDArray]] = {"gaze": [], "eyes": [], "both": []}
    for k in sorted({name.split(".")[0] for name in stored}):
        network = EyeNetwork().eval()
        network.load_state_dict(
            {
                name.removeprefix(f"{k}."): torch.from_numpy(each.astype(np.float32))
                for name, each in stored.items()
                if name.startswith(f"{k}.")
            }
        )
        with torch.no_grad():
            given = normalised(torch.from_numpy(levels).float()), head_of(torch.from_numpy(angles))
            for name, each in zip(answers, network(*given), strict=True):
                answers[name].append(each.numpy())
    return {name: np.stack(each) for name, each in answers.items()}


def left_out(network: EyeNetwork, looks: tuple[Looks, Looks], device: torch.device) -> dict[str, NDArray]:
    """What the network says of all looks that nothing was trained on, beside their truth."""
    said: dict[str, NDArray] = {}
    for name, each in zip(("moved", "crowd"), looks, strict=True):
        left = each.part(each.held_out)
        part = Truth(left, device)
        for how, spoiler in (("plain", None), ("spoilt", Spoiler(1, device))):
            each_said = answers(network, part, spoiler, device)
            report(f"{name}, {how}", each_said, left)
            said |= {f"{name}.{how}.{key}": value for key, value in each_said.items()}
        said |= {f"{name}.{key}": value for key, value in left.arrays().items() if key != "grey"}
    return said


if __name__ == "__main__":
    main()
