"""Conditions of PDF/UA-1 (ISO 14289-1) that a program can decide, read from a file with pikepdf.

Numbers K68 to K85 are those of the project's check values: clauses of the open PDF/UA-1 validation profile
and indices of the Matterhorn Protocol 1.0. Each function names what it found wrong; nothing found is a pass.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from io import BytesIO
from itertools import pairwise
from typing import Any

import pikepdf
from pikepdf import Pdf

Faults = list[str]
DC = "{http://purl.org/dc/elements/1.1/}"
UA = "{http://www.aiim.org/pdfua/ns/id/}"


def opened(content: bytes) -> Pdf:
    """The file, parsed."""
    return pikepdf.open(BytesIO(content))


def elements(pdf: Pdf) -> list[Any]:
    """Every structure element, in reading order."""
    if "/StructTreeRoot" not in pdf.Root:
        return []
    return [node for kid in _kids(pdf.Root.StructTreeRoot) for node in _walk(kid)]


def kind(element: Any) -> str:
    """The element's type without its slash."""
    return str(element.S)[1:]


def _kids(node: Any) -> list[Any]:
    if "/K" not in node:
        return []
    kids = node.K
    listed = list(kids) if isinstance(kids, pikepdf.Array) else [kids]
    return [kid for kid in listed if isinstance(kid, pikepdf.Dictionary) and "/S" in kid]


def _part(pdf: Pdf, name: str) -> Any:
    return pdf.Root.get(name, pikepdf.Dictionary())


def _walk(node: Any) -> Iterator[Any]:
    yield node
    for kid in _kids(node):
        yield from _walk(kid)


def k68_header(pdf: Pdf) -> Faults:
    return [] if re.fullmatch(r"1\.[0-7]", pdf.pdf_version) else ["header"]


def k69_marked(pdf: Pdf) -> Faults:
    info = _part(pdf, "/MarkInfo")
    good = info.get("/Marked", False) is True and info.get("/Suspects", False) is not True
    return [] if good else ["MarkInfo"]


def k70_tree(pdf: Pdf) -> Faults:
    found = elements(pdf)
    return [kind(one) for one in found if "/P" not in one] if found else ["no structure tree"]


def k71_part(pdf: Pdf) -> Faults:
    with pdf.open_metadata() as meta:
        return [] if meta.get(f"{UA}part") == "1" else ["pdfuaid:part"]


def k72_title(pdf: Pdf) -> Faults:
    with pdf.open_metadata() as meta:
        return [] if meta.get(f"{DC}title") else ["dc:title"]


def k73_display_title(pdf: Pdf) -> Faults:
    shown = _part(pdf, "/ViewerPreferences").get("/DisplayDocTitle", False)
    return [] if shown is True else ["DisplayDocTitle"]


def k74_language(pdf: Pdf) -> Faults:
    said = str(pdf.Root.get("/Lang", ""))
    return [] if re.fullmatch(r"[a-zA-Z]{1,8}(-[a-zA-Z0-9]{1,8})*", said) else [f"Lang {said!r}"]


def k75_figures(pdf: Pdf) -> Faults:
    figures = [one for one in elements(pdf) if kind(one) == "Figure"]
    said = [str(one.get("/Alt", one.get("/ActualText", ""))) for one in figures]
    return [f"figure {at}" for at, words in enumerate(said) if not words]


def k76_headers(pdf: Pdf) -> Faults:
    found = elements(pdf)
    ids = {bytes(one.ID) for one in found if kind(one) == "TH" and "/ID" in one}
    faults = []
    for one in (cell for cell in found if kind(cell) == "TD"):
        wanted = [bytes(name) for owner in _attributes(one) for name in owner.get("/Headers", [])]
        if not wanted or not set(wanted) <= ids:
            faults.append("TD without headers")
    return faults


def _attributes(element: Any) -> list[Any]:
    if "/A" not in element:
        return []
    return list(element.A) if isinstance(element.A, pikepdf.Array) else [element.A]


def k77_tables(pdf: Pdf) -> Faults:
    allowed = {"Table": {"THead", "TBody", "TFoot", "Caption", "TR"}, "TR": {"TH", "TD"}}
    allowed |= {part: {"TR"} for part in ("THead", "TBody", "TFoot")}
    faults = []
    for one in elements(pdf):
        inside = [kind(kid) for kid in _kids(one)]
        if kind(one) in allowed and not set(inside) <= allowed[kind(one)]:
            faults.append(f"{kind(one)} holds {inside}")
        if kind(one) == "Table" and len({_width(row) for row in _walk(one) if kind(row) == "TR"}) != 1:
            faults.append("rows of unequal width")
    return faults


def _width(row: Any) -> int:
    spans = [max([1, *(int(a.get("/ColSpan", 1)) for a in _attributes(cell))]) for cell in _kids(row)]
    return sum(spans)


def k78_lists(pdf: Pdf) -> Faults:
    allowed = {"L": {"LI", "Caption", "L"}, "LI": {"Lbl", "LBody"}}
    return [
        f"{kind(one)} holds {[kind(kid) for kid in _kids(one)]}"
        for one in elements(pdf)
        if kind(one) in allowed and not {kind(kid) for kid in _kids(one)} <= allowed[kind(one)]
    ]


def k79_headings(pdf: Pdf) -> Faults:
    kinds = [kind(one) for one in elements(pdf) if re.fullmatch(r"H[1-6]?", kind(one))]
    if not kinds or "H" in kinds:
        return [f"headings {kinds}"]
    levels = [0, *(int(name[1]) for name in kinds)]
    return [f"H{before} to H{after}" for before, after in pairwise(levels) if after > before + 1]


def k80_tabs(pdf: Pdf) -> Faults:
    pages = pdf.pages
    return ["page without Tabs S" for page in pages if str(page.obj.get("/Tabs", "")) != "/S"]


def k81_links(pdf: Pdf) -> Faults:
    found = [a for page in pdf.pages for a in page.obj.get("/Annots", []) if str(a.Subtype) == "/Link"]
    inside = sum(kind(one) == "Link" for one in elements(pdf))
    faults = ["link without Contents" for a in found if not str(a.get("/Contents", ""))]
    return faults if len(found) <= inside else [*faults, "link outside a Link element"]


def k82_fonts(pdf: Pdf) -> Faults:
    faults = []
    for one in pdf.objects:
        if not isinstance(one, pikepdf.Dictionary) or str(one.get("/Type", "")) != "/Font":
            continue
        if str(one.Subtype) == "/Type0" and "/ToUnicode" not in one:
            faults.append(f"{one.BaseFont}: no ToUnicode")
        if "/FontDescriptor" in one:
            files = {"/FontFile", "/FontFile2", "/FontFile3"}
            if not files & set(one.FontDescriptor.keys()):
                faults.append(f"{one.BaseFont}: not embedded")
    return faults


def k83_roles(pdf: Pdf) -> Faults:
    root = _part(pdf, "/StructTreeRoot")
    standard = {"/P", "/H1", "/Table", "/TR", "/TD", "/TH", "/L", "/LI", "/Figure", "/Link", "/Span"}
    mapped = {str(name): str(to) for name, to in root.get("/RoleMap", {}).items()}
    faults = [name for name in mapped if name in standard]
    for name in mapped:
        seen, at = {name}, mapped[name]
        while at in mapped:
            if at in seen:
                return [*faults, f"circle at {at}"]
            seen.add(at)
            at = mapped[at]
    return faults


def k84_open(pdf: Pdf) -> Faults:
    return ["encrypted"] if pdf.is_encrypted else []


def k85_content(pdf: Pdf) -> Faults:
    """Whatever paints stands inside a marked sequence: tagged (with an MCID) or an artifact."""
    paints = {"Tj", "TJ", "'", '"', "f", "F", "f*", "B", "B*", "b", "b*", "S", "s", "sh", "Do"}
    faults = []
    for number, page in enumerate(pdf.pages, start=1):
        depth = 0
        for instruction in pikepdf.parse_content_stream(page):
            name = str(instruction.operator)
            depth += (name in {"BDC", "BMC"}) - (name == "EMC")
            if name in paints and depth < 1:
                faults.append(f"page {number}: {name} outside a marked sequence")
    return faults


CONDITIONS: dict[str, Callable[[Pdf], Faults]] = {
    name: value for name, value in sorted(globals().items()) if re.match(r"k\d\d_", name)
}
