"""Writes of the catalogue, each whole or not at all; the one door for pages, API, admin and commands.

`checks` is the lowest; materials, mixes, labour and terms stand on it; `starter` on all of them.
"""
