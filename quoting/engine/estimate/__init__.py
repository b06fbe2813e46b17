"""The one entry: a piece, a price book and terms in; an estimate out."""
