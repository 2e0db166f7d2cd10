"""What the shop needs to know beside the solid: development, bolts, press work, foundry."""
