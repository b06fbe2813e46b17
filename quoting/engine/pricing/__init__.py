"""From take-off lines to a price: cost, breakage, margin, totals, payments, risk.

Reads `takeoff` lines and the shop's terms; knows nothing of solids or moulds. Inside the room the imports run
`amounts`, `three_point`, `payments`, `totals`, `bridge` <- `breakage` <- `costs` <- `works` <- `build_up` <-
`quantity`, `compare`, `risk`.
"""
