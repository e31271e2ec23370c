"""How often every interval holds the truth, with a wrong method beside each; one module a field."""
