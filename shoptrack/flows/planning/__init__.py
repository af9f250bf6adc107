"""The shop as it stands → the plan of its coming weeks: laid as a problem, planned, shown, asked what if."""
