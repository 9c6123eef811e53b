"""What the user says of a job: schedule, inputs, lines of the bid, quotes."""
