"""Where entries, photos and everything else of the shops is kept."""
