"""From an order line to a plan: members, chances, influences, alternatives."""
