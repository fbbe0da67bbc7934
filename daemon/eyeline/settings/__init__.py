"""What a person has set: configuration, folder files, briefs, rules and guest measures."""
