"""One-page sheets for work on the boat and at the bench, their blank forms, and their answers as plain data."""
