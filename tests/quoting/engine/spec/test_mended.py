"""One faulty key hides no other fault of its feature or part."""

from __future__ import annotations

from quoting.engine.spec.parse import KnownCodes
from tests.quoting.engine.spec.pieces import rectangle, slab, told, trough

CODES = KnownCodes(
    meshes=["MESH-50"], bars=["BAR-8"], materials=["GLASS-8"], sealers=["SEAL-PEN"], grits=[200]
)


def test_one_feature_is_told_all_that_is_wrong_with_it() -> None:
    """A faulty face, ledge, depth or code hides nothing of the rest; nothing is told that is not there."""
    pocket = {"at": [500, 300], "shape": rectangle(100, 100)}
    inlay = {"kind": "inlay", **pocket, "material": "GLAS-8", "depth": 33, "backlit": "yes", "ledge": "x"}
    assert told(slab(features=[inlay]), codes=CODES) == {
        "features[0].backlit": "not_yes_or_no",
        "features[0].ledge": "length",
        "features[0].material": "unknown_code",
        "features[0].depth": "too_deep",
    }
    far = {"kind": "recess", **pocket, "at": [990, 300], "depth": None, "face": "bottom", "deep": 3}
    assert told(slab(features=[far]), codes=CODES) == {
        "features[0].depth": "length",
        "features[0].face": "unknown_choice",
        "features[0].deep": "unknown_key",
        "features[0].at": "outside",
    }
    # where it lies, or how large it is, is not known: of those nothing is told
    for unknown in ({"at": [5, "x"]}, {"shape": rectangle(5000, "x")}, {"turn": "x"}):
        assert len(told(slab(features=[{**far, **unknown, "depth": 5, "face": "top"}]), codes=CODES)) == 2
    shallow = trough(depth="x", at=[-500, 0])
    assert told(slab(features=[shallow])) == {"features[0].depth": "length"}


def test_one_part_is_told_all_that_is_wrong_with_it() -> None:
    steel = {"mesh": "MESH-5", "cover": "thin", "bars": [{"bar": "BAR-9", "where": "outline"}]}
    finish = {"fill": "half", "grits": [60], "sealer": "SEAL-PAN", "coats": 2}
    extras = [{"material": "GLAS-8", "quantity": -1}]
    assert told(slab(reinforcement=steel, finish=finish, extras=extras), codes=CODES) == {
        "reinforcement.cover": "length",
        "reinforcement.mesh": "unknown_code",
        "reinforcement.bars[0].bar": "unknown_code",
        "finish.fill": "unknown_choice",
        "finish.sealer": "unknown_code",
        "finish.grits[0]": "unknown_code",
        "extras[0].quantity": "out_of_range",
        "extras[0].material": "unknown_code",
    }
