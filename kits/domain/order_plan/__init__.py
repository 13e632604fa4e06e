"""What to order for the booked kits of one shop: a plan at once, a bound below it, and an integer programme."""
