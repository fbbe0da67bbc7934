"""Quantities that need the other frames of a set."""

from __future__ import annotations

from eyeline.terms.measurement import Quantity

SET_QUANTITIES = (
    Quantity("series", "id", "frames of one sitting with the same look and pose, seconds apart"),
    Quantity("series_rank", "rank", "place within the series; 1 = best"),
    Quantity(
        "exposure_off_stops", "stops", "face against the median of this sitter's frames in the same light"
    ),
    Quantity("white_balance_off", "ΔE (CIEDE2000)", "chroma of the background against the sitting's median"),
    Quantity(
        "light_off_stops", "stops", "light between the cheeks against the median of the team's pictures"
    ),
    Quantity("backdrop_off", "ΔE (CIEDE2000)", "background against the sitting's or team's median"),
)
