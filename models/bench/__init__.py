"""What follows from readings taken on the boat and at the bench."""
