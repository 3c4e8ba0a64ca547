"""The things on the bench, in four rooms: slips and sheets, tools, what lies on the board, and what all of them are."""
