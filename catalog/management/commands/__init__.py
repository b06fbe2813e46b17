"""Commands of the catalogue."""
