"""What happened to orders, metal, machines and people: kept with who, when and why, never deleted."""
