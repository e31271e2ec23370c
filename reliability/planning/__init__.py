"""What a sample can say, and what it takes to say more."""
