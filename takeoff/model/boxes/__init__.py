"""What one box of a type takes in each construction: conductors, grounds, fill, work, material; runs."""
