"""The words that each verb takes, by what the verbs are about."""
