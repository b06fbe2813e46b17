"""The whole shop in one file, and back: database and documents together, checksummed, sealed if wanted.

`making` and `restoring` are the two doors. Below them: `archive` (the file: a tar of JSON lines, documents
and a manifest), `rows` (tables to lines and back, the same for every database), `seal` (the encryption).
"""
