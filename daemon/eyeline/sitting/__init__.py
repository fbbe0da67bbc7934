"""Many frames together: sittings, series, what is usual for a sitter, briefs, teams. Pure, like the core."""
