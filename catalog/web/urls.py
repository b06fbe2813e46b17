"""Addresses of the pages under Prices."""

from django.urls import path

from catalog.web import changes, labour, lists, logo, materials, price_list, shelf, shop, starter

app_name = "catalog"
urlpatterns = [
    path("prices/", materials.price_table, name="prices"),
    path("prices/materials/new", materials.new_material, name="new-material"),
    path("prices/materials/<str:code>", materials.material_page, name="material"),
    path("prices/materials/<str:code>/prices", materials.new_price, name="new-price"),
    path("prices/list.csv", materials.price_file, name="export"),
    path("prices/import", price_list.take_in, name="import"),
    path("prices/shelf", shelf.shelf_list, name="shelf"),
    path("prices/shelf/list.csv", shelf.shelf_file, name="shelf-file"),
    path("prices/shelf/new", shelf.new_item, name="new-shelf-item"),
    path("prices/shelf/<int:pk>", shelf.item_page, name="shelf-item"),
    path("prices/shelf/<int:pk>/off", shelf.take_off, name="off-shelf"),
    path("prices/mixes", lists.mixes, name="mixes"),
    path("prices/mixes/list.csv", lists.mixes_file, name="mixes-file"),
    path("prices/mixes/new", shop.new_mix, name="new-mix"),
    path("prices/mixes/<str:code>", shop.mix_page, name="mix"),
    path("prices/roles", lists.roles, name="roles"),
    path("prices/roles/list.csv", lists.roles_file, name="roles-file"),
    path("prices/roles/new", labour.new_role, name="new-role"),
    path("prices/roles/<str:code>", labour.role_page, name="role"),
    path("prices/roles/<str:code>/rates", labour.new_rate, name="new-rate"),
    path("prices/operations", lists.operations, name="operations"),
    path("prices/operations/list.csv", lists.operations_file, name="operations-file"),
    path("prices/operations/new", labour.new_operation, name="new-operation"),
    path("prices/operations/<str:code>", labour.operation_page, name="operation"),
    path("prices/operations/<str:code>/standards", labour.new_standard, name="new-standard"),
    path("prices/changes", changes.changes, name="changes"),
    path("prices/changes/list.csv", changes.changes_file, name="changes-file"),
    path("prices/starter", starter.starter, name="starter"),
    path("prices/terms", shop.terms, name="terms"),
    path("prices/logo", logo.logo_page, name="logo"),
    path("prices/logo/picture", logo.logo_picture, name="logo-picture"),
    path("prices/logo/off", logo.take_off, name="logo-off"),
]
