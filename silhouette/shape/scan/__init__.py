"""A body from a scan: a mesh file read within bounds, set upright, cut at every level, its sections drawn taut."""
