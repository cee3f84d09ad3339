"""What was asked: lengths as text, the sheet and its one declaration per parameter, TOML in and out."""
