"""The piece document: types, parsing, every refusal of the piece contract. Reads `plane` for distances."""
