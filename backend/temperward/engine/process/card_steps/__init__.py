"""The steps of a card, one file per kind."""
