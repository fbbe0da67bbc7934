"""eyeline: measures, judges and annotates portraits as they arrive."""
