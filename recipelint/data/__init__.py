"""Data that ships with the package: sources in YAML, and under generated/ what run time reads."""
