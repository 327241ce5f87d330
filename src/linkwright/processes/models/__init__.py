"""Published models of the works' processes, one subject a file; plans and machines are not here."""
