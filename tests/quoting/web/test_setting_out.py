"""The drawing beside the form: one handle for every point that a field holds."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from quoting.engine.solid.build import build
from quoting.engine.spec.parse import parse_piece
from quoting.web.examples import examples
from quoting.web.setting_out import setting_out
from tests.quoting.web.typed import typed

SVG = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize("name", examples())
def test_handles_stand_where_the_fields_say(name: str) -> None:
    piece = parse_piece(examples()[name])
    root = ElementTree.fromstring(setting_out(build(piece), "metric"))  # noqa: S314 - our own drawing
    unit = float(root.attrib["data-unit-mm"])
    fields = {
        "f-" + re.sub(r"[\[.]", "-", key.replace("]", "")): text
        for key, text in typed(examples()[name]).items()
    }
    handles = [part for part in root.iter(f"{SVG}g") if part.get("class") == "handle"]
    points = sum(
        len(text.split(";"))
        for field, text in fields.items()
        if re.fullmatch(r"f-features-\d+-(at|path)", field)
    )
    assert len(handles) == points
    for handle in handles:
        point = fields[handle.attrib["data-field"]].split(";")[int(handle.attrib["data-index"])]
        x, y = (float(part) * unit for part in point.split(","))
        assert float(handle.attrib["data-x"]) == pytest.approx(x, abs=0.001)
        assert float(handle.attrib["data-y"]) == pytest.approx(y, abs=0.001)


def test_names_cannot_break_out_of_the_drawing() -> None:
    piece = parse_piece(examples()["hearth"] | {"name": '"><script>alert(1)</script>'})
    svg = setting_out(build(piece), "us")
    assert "<script" not in svg
    assert ElementTree.fromstring(svg).tag == f"{SVG}svg"  # noqa: S314 - our own drawing
