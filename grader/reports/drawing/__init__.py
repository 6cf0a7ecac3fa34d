"""How a circuit is drawn: from elements to branches, from branches to an order, from the order to coordinates."""
