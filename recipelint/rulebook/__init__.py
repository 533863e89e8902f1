"""Judging: facts in tables, rules and styles as data, findings."""
