"""Rows of the catalogue by subject: materials, mixes and labour, pictures, shelf, the shop, then changes."""

from catalog.models.changes import CatalogueChange
from catalog.models.labour import Operation, OperationStandard, Role, RoleRate
from catalog.models.materials import Material, MaterialPrice
from catalog.models.mixes import Mix, MixPart
from catalog.models.pictures import Picture
from catalog.models.shelf import ShelfItem
from catalog.models.shop import ShopTerms

__all__ = [
    "CatalogueChange",
    "Material",
    "MaterialPrice",
    "Mix",
    "MixPart",
    "Operation",
    "OperationStandard",
    "Picture",
    "Role",
    "RoleRate",
    "ShelfItem",
    "ShopTerms",
]
