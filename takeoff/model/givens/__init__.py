"""What is given: the job as read, inputs, catalogs, constructions, prices, wages, conditions of the work."""
