"""Has stations measure whatever processes would: imported by every Python that has this folder on its path.

The tests know nothing of it, nor the program. The scheduler is the one that the environment names.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from dataclasses import replace
from importlib.abc import MetaPathFinder
from importlib.machinery import ModuleSpec, PathFinder
from types import ModuleType
from typing import Any

ENGINES = "eyeline.run.engines"
SCHEDULER = "EYELINE_TEST_SCHEDULER"


class Instead(MetaPathFinder):
    """Finds the module that chooses the engine, and changes its choice when it has been loaded."""

    def find_spec(
        self, name: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        if name != ENGINES:
            return None
        spec = PathFinder.find_spec(name, path)
        assert spec is not None and spec.loader is not None
        execute = spec.loader.exec_module

        def exec_module(module: ModuleType) -> None:
            execute(module)
            choose_stations(module)

        spec.loader.exec_module = exec_module  # type: ignore[method-assign]
        return spec


def choose_stations(module: Any) -> None:
    """Have `engine_of` of the module take stations for processes."""
    engine_of = module.engine_of

    def chosen(configuration: Any, *more: Any) -> Any:
        if configuration.engine == "processes":
            configuration = replace(configuration, engine="dask", scheduler=os.environ[SCHEDULER])
        return engine_of(configuration, *more)

    module.engine_of = chosen


if SCHEDULER in os.environ and ENGINES not in sys.modules:
    sys.meta_path.insert(0, Instead())
