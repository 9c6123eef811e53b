"""What any figure is made of: the terms of a plan in the whole job, an area, a circuit or a box."""
