"""Searches on top of a preview: thickness, natural arrangements, sweeps, learning from fittings."""
