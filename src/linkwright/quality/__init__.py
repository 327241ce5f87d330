"""Statistics of what happened: charts, capability, sampling, lives, gauges, decisions, learning."""
