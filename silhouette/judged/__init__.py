"""What it means: foam and cloth, the look checks, thickness and comparison."""
