"""What to buy: of which supplier, in which packs, at which price."""
