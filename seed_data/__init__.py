"""The invented demo shop: people, baths, ovens and ten blades, as logs of entries."""
