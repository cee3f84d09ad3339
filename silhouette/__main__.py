"""``python -m silhouette`` is the same as ``silhouette``."""

from silhouette.cli import main

main()
