"""How word gets out of the server."""
