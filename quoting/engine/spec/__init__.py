"""The piece document: types, parsing, every refusal of the contract, cautions. Reads `plane` for distances.

Conventions, where the contract leaves a choice:

- Reading: texts without a unit count in the document's unit, fractions and primes in any usual spelling;
  a decimal comma is refused. `null` stands for "none" where the contract says so. Defaults: recess on
  top, groove on the underside, lap 100 mm, one coat where a sealer is named, ledge 0 (a backlit inlay
  needs one).
- Sides run counter-clockwise from 0. Rectangle: front, right, back, left. Ell: from the front side.
  Polygon: from the side on the front line (of several the leftmost), else from the first side written;
  clockwise points are turned round, each keeping its radius.
- An outline's points are moved so that their bounding box starts at the origin. A feature's shape has the
  middle of its bounding box (a polygon's: of its points) at `at`, then is turned about it. A drain's `at`
  is, like every other, a plan coordinate of the piece.
- Distances are plan distances, whatever the depth. A trough keeps clear with its outside, except of what
  stays above the underside, which sees its mouth. What reaches the underside keeps clear of a drop edge's
  inner face too, a backlit inlay with its through part. Inserts count as points. Exactly the limit is
  accepted.
- A polygon's radius is too large when its arcs take more than their side has: r·tan(θ/2) at each end, θ the
  turn there, which is r at a square corner. Elsewhere a radius is at most half the shortest side.
- A bottom treatment goes to the lowest outer arris of its side: of a drop edge, where there is one; beside
  one it begins at the band's inner face.
  Treatments may touch features and one another but not overlap; a chamfer reaches less far by as much as
  it is deep.
- A trough hangs below the slab; what ends inside it is a recess. Drains lie 10 mm clear on the floor.
- Limits: 200 features; 2,000 points of outlines, paths and centres together; 12 m.
- A fault anywhere does not hide those elsewhere: codes and geometry are checked on the parts that are
  well formed. Distances are left out only where the outline itself, the thickness or the unit is at
  fault.
- A piece written back is in mm: equal to what was read but for its `unit`.
"""
