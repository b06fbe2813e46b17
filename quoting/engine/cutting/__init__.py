"""Cutting stock: parts laid out on sheets (edge-to-edge cuts) and on bars.

Knows nothing of pieces or moulds: lengths, counts and prices in, layouts and cuts out. Inside the room the
imports run `values` <- `grid` <- `bounds`, `tree` <- `search` <- `offcut` <- `sheets`, `bars` <- `document`;
`verify` reads values alone, so that it can judge the others.
"""
