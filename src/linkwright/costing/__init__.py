"""What a plan costs: use priced by the rates of the works."""
