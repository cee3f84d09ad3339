"""What is shown: tables, JSON, drawings, rendered views, 3D files."""
