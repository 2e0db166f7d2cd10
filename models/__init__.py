"""What it becomes: frames, parts, mechanics, checks."""
