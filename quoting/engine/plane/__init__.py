"""Plan geometry: closed contours of straight lines and arcs, measured exactly. Imports nothing of ours."""
