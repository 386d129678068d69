"""What the steps of the books share: their days, what stands at both ends of them, how its cost is spread."""
