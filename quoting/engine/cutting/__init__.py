"""Cutting stock: parts laid out on sheets (edge-to-edge cuts) and on bars.

Knows nothing of pieces or moulds: lengths, counts and prices in, layouts and cuts out. The doors are
`sheets.lay_out_sheets`, `bars.lay_out_bars`, `document.read_request` and `plan_document`, and
`verify.verify_plan`. Inside the room imports run downwards: `bars`, `sheets`, `offcut`, `solve`, `mixes` and
`search`, `bounds` and `tree`, `grid`, `values`; `document` and `verify` read `values` alone.
"""
