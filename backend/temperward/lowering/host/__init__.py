"""Files that take their place beside the engine on the phone: the workers' entry, data, sorting."""
