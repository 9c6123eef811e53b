"""What to order and how to cut it, and the pages for the crew."""
