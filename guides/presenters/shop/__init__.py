"""What machines read of coffees, lots and guides: plain shapes, with whole addresses and dates as dates."""
