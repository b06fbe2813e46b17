"""Writes of jobs, each whole or not at all; the one door for pages and API.

`common` is the lowest, then `time_rules`; `mishaps` stands on `jobs` and `time` too.
"""
