"""What every answer says of itself, on the screen, on paper and in files for other programs."""

GUIDANCE = (
    "Guidance only, not an approval: figures are indicative; class rules, local codes, a surveyor or a licensed "
    "engineer decide."
)
