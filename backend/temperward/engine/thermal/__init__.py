"""How a section cools, the windows that follow, and the heat balance of a bath."""
