"""``python -m silhouette`` is the same as ``silhouette``."""

from silhouette.cli.commands import main

main()
