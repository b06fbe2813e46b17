"""Drawings as SVG from values: plan, section, isometric, mould, cutting, templates, charts.

Inside, imports run: views (plan, section, ...) -> dimensions, labels, paths -> canvas -> style, text, values.
Nothing here measures the piece; lengths come from the solid and are only written down.
"""
