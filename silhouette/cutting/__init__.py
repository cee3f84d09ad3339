"""From the chosen shape to the cutting table: full-size pieces, workroom pages, foam layout."""
