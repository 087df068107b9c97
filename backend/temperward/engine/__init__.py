"""The whole domain in pure Python: no clock, no chance, no input or output. Runs on server and phone."""
