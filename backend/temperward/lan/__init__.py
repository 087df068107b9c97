"""https in a shop without a domain: an authority of its own, and the page that hands out its certificate."""
