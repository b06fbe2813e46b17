"""The shop's work on what was commissioned: planned and actual hours, materials, mishaps, what they teach."""
