"""The command line: commands, options and what they print."""
