"""`eyeline review`: the page on which a shoot is looked at, corrected and tuned, for this machine alone."""
