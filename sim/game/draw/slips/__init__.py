"""Smaller papers that lie on the bench: the job sheet, the drawer of pieces, slips, strips and cards."""
