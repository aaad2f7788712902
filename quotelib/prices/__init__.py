"""What materials cost: the shop's price list, what suppliers ask, and how one becomes the other."""
