"""Makes the invented fleet of the demonstration: drives, dirt, files, and the truth about them."""
