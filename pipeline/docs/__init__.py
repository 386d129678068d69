"""What people read about the sheets, made from the schemas so that it cannot drift from them."""
