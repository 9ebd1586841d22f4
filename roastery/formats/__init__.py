"""How dates and times of the desk are written where Django's own way is another than that of customers' pages."""
