"""One Python file for each strut that builds its solids again and needs only cadquery."""
