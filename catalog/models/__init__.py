"""Rows of the catalogue, split by subject: materials, mixes and labour, pictures, shelf, then the shop."""

from catalog.models.labour import Operation, OperationStandard, Role, RoleRate
from catalog.models.materials import Material, MaterialPrice
from catalog.models.mixes import Mix, MixPart
from catalog.models.pictures import Picture
from catalog.models.shelf import ShelfItem
from catalog.models.shop import ShopTerms

__all__ = [
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
