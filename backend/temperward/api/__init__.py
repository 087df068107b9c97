"""What the server answers over HTTP."""
