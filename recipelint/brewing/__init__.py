"""Brewing on paper: pure functions in the order of the brew day. No files, no rules, no opinions."""
