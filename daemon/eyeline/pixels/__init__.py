"""What several rooms do to pixels."""
