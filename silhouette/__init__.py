"""Previews hip pads on a body lofted from tape measurements."""
