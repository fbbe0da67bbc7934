"""A delivery as it is ordered, at the command line or on the page, and carried out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from eyeline.deciding.decide import Decider
from eyeline.delivery.specification import Specification
from eyeline.errors import BadConfiguration, printable
from eyeline.rendering.profile import target_profile
from eyeline.run.deliver import Delivering, deliver
from eyeline.run.delivered import Delivered
from eyeline.run.delivery_again import MeasureAgain, measured_here
from eyeline.run.delivery_archive import archive_of
from eyeline.run.delivery_plan import DeliveryPlan, delivery_plan
from eyeline.run.nothing_measured import check_folders
from eyeline.settings.configuration import Configuration
from eyeline.workers.pool import PHOTOS_WORTH_A_WORKER


@dataclass(frozen=True, slots=True)
class Order:
    """What is asked for. `folders` and `finals` resolved, `out` absolute. `best`: of each line, in place of
    the selected frames. `zips`: one archive besides."""

    folders: tuple[Path, ...]
    out: Path
    specification: Specification
    best: bool = False
    from_preview: bool = False
    finals: tuple[Path, ...] = ()
    zips: bool = False
    dry_run: bool = False

    def check(self, configuration: Configuration, roots: Sequence[Path] = ()) -> None:
        """Raise BadConfiguration where files would be delivered among photos, to be judged as photos: in
        `folders`, in those that the `configuration` watches, or in `roots`, watched now. And where a folder
        of finals is none, or the profile."""
        check_folders(self.folders)
        target_profile(self.specification.profile)
        for folder in self.finals:
            if not folder.is_dir():
                raise BadConfiguration("this is no folder", folder, "Name one with retouched files, or none")
        target = self.out.resolve()
        if target in self.folders:
            raise BadConfiguration("the target is the folder of the photos", self.out, "Name another")
        watched = (each.path.resolve() for each in configuration.folders)
        for folder in (*self.folders, *roots, *watched):
            if target.is_relative_to(folder):
                what = (
                    f"the target lies in {printable(folder.name)}, where its files would be judged as photos"
                )
                raise BadConfiguration(what, self.out, "Name a folder elsewhere")


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of an order. `archive`: the ZIP, where one was asked for and there is something in it.
    `earlier`: files in the target that an earlier delivery of these folders made, and that are none of this
    one's: of a frame that is not wanted any more, or before its retouching."""

    plan: DeliveryPlan
    done: tuple[Delivered, ...]
    archive: Path | None = None
    earlier: tuple[Path, ...] = ()

    @property
    def is_whole(self) -> bool:
        """Whether every file that was sold is there."""
        return not self.plan.not_made and not any(each.is_wrong for each in self.done)


def carry_out(
    decider: Decider,
    order: Order,
    measure_again: MeasureAgain,
    planned: Callable[[DeliveryPlan], None] = lambda _: None,
    made: Callable[[Delivered], None] = lambda _: None,
    stopped: Callable[[], bool] = lambda: False,
) -> Outcome:
    """Plan the delivery and make its files. `planned` and `made` are told as it goes; `stopped` is asked.

    A few files are measured again here, more by `measure_again`. Raises EyelineError.
    """
    order.check(decider.configuration, decider.roots)
    plan = delivery_plan(
        decider, order.folders, order.specification, order.best, order.from_preview, order.finals, stopped
    )
    planned(plan)
    few = len(plan.files) <= PHOTOS_WORTH_A_WORKER
    again = measured_here if few else measure_again
    job = Delivering(decider, order.specification, order.out, again, order.dry_run, stopped)
    done = []
    for each in deliver(job, plan):
        done.append(each)
        made(each)
    zips = order.zips and not order.dry_run and not stopped()
    archive = archive_of(decider.ledger.deliveries, done, order.out) if zips else None
    earlier = () if stopped() else _earlier(decider, order, done)
    return Outcome(plan, tuple(done), archive, earlier)


def _earlier(decider: Decider, order: Order, done: Sequence[Delivered]) -> tuple[Path, ...]:
    now = {each.target for each in done}
    return tuple(
        each.target
        for each in decider.ledger.deliveries.below(order.out)
        if each.target not in now
        and any(each.path.is_relative_to(folder) for folder in order.folders)
        and each.target.is_file()
    )


def words_of(done: Sequence[Delivered], plan: DeliveryPlan) -> str:
    """How many files came out, in a sentence."""
    counts = []
    for state in ("written", "unchanged", "would be written", "not as promised"):
        number = sum(each.state == state for each in done)
        counts += [f"{number} {state}"] if number else []
    missing = len(plan.not_made) + sum(each.state == "not made" for each in done)
    counts += [f"{missing} not made"] if missing else []
    total = len(done) + len(plan.not_made)
    files = "1 file" if total == 1 else f"{total} files"
    frames = "1 frame" if plan.frames == 1 else f"{plan.frames} frames"
    return f"{files} of {frames}: {', '.join(counts) or 'nothing to make'}."
