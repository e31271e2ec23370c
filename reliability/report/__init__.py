"""What a report says, and how it is written down: a page, and the tables behind it."""
