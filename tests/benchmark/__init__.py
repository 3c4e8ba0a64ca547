"""How long the program takes and how much it uses, beside the aims."""
