"""The words of a PDF, read back through the fonts' own tables of characters."""

from __future__ import annotations

import re
from typing import Any

import pikepdf
from pikepdf import Pdf

_BLOCK = re.compile(rb"begin(bfchar|bfrange)(.*?)end\1", re.DOTALL)
_CODE = re.compile(rb"<([0-9a-fA-F]*)>")


def words(pdf: Pdf) -> str:
    """Everything that is lettered on any page, in the order it is drawn; drawings included."""
    return "\n".join(_drawn(page.obj, page.obj) for page in pdf.pages)


def _drawn(stream: Any, owner: Any) -> str:
    fonts = owner.get("/Resources", {}).get("/Font", {})
    tables = {name: _table(font) for name, font in fonts.items()}
    forms = owner.get("/Resources", {}).get("/XObject", {})
    said, table = [], dict[int, str]()
    for instruction in pikepdf.parse_content_stream(stream):
        operator, operands = str(instruction.operator), instruction.operands
        if operator == "Tf":
            table = tables.get(str(operands[0]), {})
        elif operator in {"Tj", "TJ"}:
            parts = operands[0] if operator == "TJ" else [operands[0]]
            said += [_spelled(bytes(part), table) for part in parts if isinstance(part, pikepdf.String)]
        elif operator in {"ET", "Td", "Tm", "T*"}:
            said.append("\n")
        elif operator == "Do":
            form = forms[str(operands[0])]
            said.append(_drawn(form, form) if str(form.Subtype) == "/Form" else "")
    return "".join(said)


def _spelled(codes: bytes, table: dict[int, str]) -> str:
    pairs = [int.from_bytes(codes[at : at + 2], "big") for at in range(0, len(codes), 2)]
    return "".join(table.get(code, "") for code in pairs)


def _table(font: Any) -> dict[int, str]:
    """Glyph numbers and the characters they stand for."""
    table: dict[int, str] = {}
    if "/ToUnicode" not in font:
        return table
    for kind, body in _BLOCK.findall(font.ToUnicode.read_bytes()):
        codes = [code.decode() for code in _CODE.findall(body)]
        step = 2 if kind == b"bfchar" else 3
        for at in range(0, len(codes) - step + 1, step):
            first, last, to = int(codes[at], 16), int(codes[at + step - 2], 16), codes[at + step - 1]
            text = bytes.fromhex(to).decode("utf-16-be")
            for code in range(first, last + 1):
                table[code] = text[:-1] + chr(ord(text[-1]) + code - first)
    return table
