"""The pages of the window, one module a page, and what they have in common."""
