"""What happened to orders, metal, machines and people: who, when and why; never deleted."""
