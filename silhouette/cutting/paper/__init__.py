"""The cutting table on paper: pages, tiles, SVG and DXF."""
