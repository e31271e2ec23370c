"""Makes the invented fleet of the demonstration: its drives, its dirt, its files, and the truth about them."""
