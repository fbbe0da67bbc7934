"""libvips as this room uses it: nothing is kept between two files, and only sound loaders open what comes.

Its cache of operations knows a file by its name, so a final that was saved again would be delivered as it was
before; and loaders that its authors call untrusted open formats that no photograph has.
"""

from __future__ import annotations

import pyvips

__all__ = ["pyvips"]

pyvips.cache_set_max(0)
pyvips.block_untrusted_set(True)
