"""The piece as a solid: its bodies, its measures, its sections. Reads `spec.types` and `plane` only."""
