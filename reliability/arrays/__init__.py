"""What an array of drives risks while it rebuilds, and over the years."""
