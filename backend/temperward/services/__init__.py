"""One module for each thing someone can ask of the server: plain functions of a session and the instant."""
