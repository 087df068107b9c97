"""One module for each thing someone can ask of the server: plain functions that take a session and the instant."""
