"""Written files measured again, and stress solved on the solid."""
