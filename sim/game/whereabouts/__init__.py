"""Where everything lies on the screen: fixtures, wires, tags, handles, and what is shown of them."""
