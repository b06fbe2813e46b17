"""Rows of the catalogue, split by subject: materials, then mixes and labour, pictures, then the shop."""

from catalog.models.labour import Operation, OperationStandard, Role, RoleRate
from catalog.models.materials import Material, MaterialPrice
from catalog.models.mixes import Mix, MixPart
from catalog.models.pictures import Picture
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
    "ShopTerms",
]
